"""Right programs in other people's habits are accepted with their drawing; with one slip each is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from kerfproof import api
from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.proof.proof import Proof
from support.programs.foreign_styles import SLIPS, STYLES, Program


@cache
def right(name: str) -> Program:
    return STYLES[name]().program()


def errors(proof: Proof) -> list[str]:
    return [f.sentence() for f in proof.findings if f.severity is Severity.ERROR]


def test_there_are_enough_styles_for_every_dialect_and_unit_and_for_each_way_to_start():
    made = [right(name).machine for name in STYLES]
    assert len(STYLES) >= 12
    assert {m.dialect for m in made} >= {"ngc", "ngc_blend", "compact", "compact_offset", "skip", "skip_macro"}
    assert {m.inches for m in made} == {False, True}
    assert {(str(m.start), str(m.touch_off)) for m in made} >= {
        ("contact", "float"), ("contact", "ohmic"), ("contact", "none"), ("pilot", "ohmic"),
    }  # fmt: skip
    assert len({right(name).text for name in STYLES}) == len(STYLES)


@pytest.mark.parametrize("name", STYLES)
def test_a_right_program_is_accepted_where_its_drawing_lies(name: str):
    program = right(name)
    proof = program.proof()
    assert errors(proof) == []
    assert proof.verdict in ("PROVEN", "PROVEN WITH WARNINGS")
    assert len(proof.places) == len(proof.parts) == program.copies
    assert all(part.comes_free and part.holes_cut == part.holes == 3 for part in proof.parts)
    assert proof.edge_deviation < 0.005


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("name", STYLES)
def test_a_program_with_one_slip_is_refused(name: str, slip: str):
    program = STYLES[name](slip).program()
    assert program.text != right(name).text
    proof = program.proof()
    assert errors(proof) and proof.verdict == "NOT PROVEN"
    if slip == "hole moved":
        told = [f for f in proof.findings if f.severity is Severity.ERROR]
        assert all(f.x is not None for f in told), "told at the hole, not of the whole drawing"
        assert len(proof.places) == program.copies


ENDINGS = {
    "machine home": "G28", "machine home in Z alone": "G91 G28 Z0\nG90", "second home": "G30",
    "up in machine coordinates": "G53 G0 Z0", "up, then home in X and Y": "G53 G0 Z0\nG53 G0 X0 Y0",
    "up, then program zero": "G53 G0 Z0\nG0 X0 Y0", "program zero": "G0 X0 Y0",
}  # fmt: skip


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("homed", [True, False])
def test_going_home_after_the_last_cut_is_right_where_the_machine_knows_its_home(ending: str, homed: bool):
    plain = right("plain, one slow touch")
    assert plain.text.endswith("\nM2\n")
    text = plain.text.removesuffix("M2\n") + ENDINGS[ending] + "\nM2\n"
    proof = replace(plain, text=text, machine=replace(plain.machine, z_homed=homed)).proof()
    if homed or ending == "program zero":
        assert errors(proof) == []
    else:
        assert any("Z is not homed" in sentence for sentence in errors(proof))


@pytest.mark.parametrize(("after", "fine"), [("G0 X{x} Y{y}", True), ("G91\nG0 X5\nG90", False), ("G0 X{x}", False)])
def test_home_between_two_cuts_is_right_only_where_the_next_way_says_both_axes(after: str, fine: bool):
    pilot = right("pilot arc, homed Z, home by G28 at the end, S words, pierced higher")
    lines = pilot.text.splitlines()
    at = next(k for k, line in enumerate(lines) if line.startswith("G0 X") and "M5" in lines[:k][-4:])
    x, y = (word[1:] for word in lines[at].split()[1:])
    lines[at : at + 1] = ["G28", after.format(x=x, y=y)]
    deep = next(k for k in range(at, len(lines)) if lines[k].startswith("G38.2"))
    lines[deep] = next(line for line in lines if line.startswith("G38.2"))  # from the top again
    told = [f for f in replace(pilot, text="\n".join(lines) + "\n").proof().findings if "where G28 leads" in f.message]
    assert len(told) == 2
    assert [f.severity for f in told] == [Severity.WARNING if fine else Severity.ERROR, Severity.WARNING]


def test_home_with_the_torch_on_stays_an_error():
    plain = right("plain, one slow touch")
    head, last = plain.text.rsplit("M5\n", 1)
    proof = replace(plain, text=f"{head}G28\nM5\n{last}", machine=replace(plain.machine, z_homed=True)).proof()
    assert any("where G28 leads" in sentence for sentence in errors(proof))


def test_one_slow_touch_is_told_what_it_would_not_notice():
    told = {(f.rule, f.severity): f for f in right("plain, one slow touch").proof().findings}
    lacking = told["touch-off-miss-unguarded", Severity.WARNING]
    assert "a stuck switch or a false trip by noise" in lacking.message
    assert "a second, short search" in lacking.advice
    assert ("contact-start-off-plate", Severity.WARNING) in told, "what happens if the control backs off after all"


@pytest.mark.parametrize(("back_off", "rule"), [(1.0, "datum-not-float"), (2.0, "contact-start-off-plate")])
def test_one_slow_touch_on_a_control_that_is_said_to_back_off_is_an_error(back_off: float, rule: str):
    plain = right("plain, one slow touch")
    control = replace(control_of(plain.machine), control_back_off=back_off)
    proof = api.prove(plain.text, api.Against(control=control, machine=plain.machine, process=plain.process))
    assert rule in {f.rule for f in proof.findings if f.severity is Severity.ERROR}


def test_a_touch_at_the_wrong_feed_is_warned_of_though_it_is_the_only_one():
    plain = right("plain, one slow touch")
    for feed, rules in (("F400", {"float-feed-differs"}), ("F3000", {"float-feed-differs", "touch-too-fast"})):
        found = {f.rule for f in replace(plain, text=plain.text.replace("F150", feed)).proof().findings}
        assert rules <= found


@pytest.mark.parametrize("word", ["G91.1", "G97", "G80", "G98"])
def test_a_word_that_states_what_holds_anyhow_is_no_error(word: str):
    plain = right("plain, one slow touch")
    assert errors(replace(plain, text=plain.text.replace("G49\n", f"G49 {word}\n")).proof()) == []


def test_a_word_for_the_other_kind_of_arc_centers_is_an_error():
    plain = right("plain, one slow touch")
    assert errors(replace(plain, text=plain.text.replace("G49\n", "G49 G90.1\n")).proof())


def test_an_outline_that_hangs_on_a_tab_is_found_and_told_as_not_free():
    plain = right("plain, one slow touch")
    closing = "G1 X39.25 Y80\n"
    head, behind = plain.text.rsplit(closing, 1)
    proof = replace(plain, text=f"{head}G1 X39.25 Y76\nM5\n{behind.split('M5', 1)[1].lstrip()}").proof()
    assert len(proof.places) == 1
    assert {f.rule for f in proof.findings if f.severity is Severity.ERROR} == {"not-free", "metal-left"}
