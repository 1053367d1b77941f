"""Programs for several sheets: another sheet is believed where the cuts bear it out, and each is compared by itself."""

from __future__ import annotations

import inspect
import re
from dataclasses import replace

import pytest

from kerfproof import api
from kerfproof.cut_plan import Cut
from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.writer.writer import write
from kerfproof.outcome import Outcome
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.proof.rule import all_rules
from support.faulty.faults import Subject
from support.shop.shop import built_in, cut, demo, dxf

NEXT = ["(MSG, next sheet)", "M0"]


@pytest.fixture(scope="module")
def gusset() -> Outcome:
    return cut(demo("gusset"))


def on_sheets(outcome: Outcome, *sheets: tuple[Cut, ...], stop: list[str] | None = None) -> str:
    """Return a program that cuts some cuts on each sheet, with a stop between two sheets."""
    every = tuple(c for cuts in sheets for c in cuts)
    program = write(replace(outcome.plan, cuts=every, heading=()), control_of(outcome.machine))
    lines = program.text.split("\n")
    number = len(every)
    for cuts in reversed(sheets[1:]):
        number -= len(cuts)
        at = program.blocks[number].first - 1
        lines[at:at] = NEXT if stop is None else stop
    return "\n".join(lines)


def proof_of(outcome: Outcome, text: str, *, drawn: bool = True, placed: bool = True) -> Proof:
    contours, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    return prove(
        text,
        Against(
            control=control_of(outcome.machine),
            machine=outcome.machine,
            process=outcome.process,
            drawn=contours if drawn else None,
            slits=slits if drawn else (),
            plate=outcome.plan.plate,
            placed=placed,
        ),
    )


def errors(proof: Proof) -> list[tuple[str, str]]:
    return [(f.rule, f.message) for f in proof.findings if f.severity is Severity.ERROR]


def told(proof: Proof) -> list[str]:
    """Return the rules that warn or find an error."""
    return [f.rule for f in proof.findings if f.severity is not Severity.NOTE]


ASSUMED = "new-sheet-assumed"
WORDS = [
    "(next sheet)", "(look at the tip, do not change the sheet)", "(MSG, load a fresh blank)", "(neue Tafel auflegen)",
    "(second pass, the same sheet)", "(plate 2 mm thick: check)", "",
]  # fmt: skip


@pytest.mark.parametrize("words", WORDS)
@pytest.mark.parametrize("drawn", [True, False])
def test_whatever_stands_at_a_stop_parts_cut_whole_again_are_cut_of_another_sheet(gusset, words, drawn):
    text = on_sheets(gusset, *[gusset.plan.cuts] * 2, stop=[words, "M0"])
    assert told(proof_of(gusset, text, drawn=drawn)) == [ASSUMED]
    (found,) = [f for f in proof_of(gusset, text).findings if f.rule == ASSUMED]
    assert found.message == f"from line {found.line} on the proof takes it that another sheet lies there"
    assert text.split("\n")[found.line - 1] == "M0"


@pytest.mark.parametrize("words", WORDS[1:])
@pytest.mark.parametrize("second", [slice(0, 1), slice(0, -1), slice(-1, None)])
def test_no_word_makes_another_sheet_for_a_part_that_is_not_cut_whole_again(gusset, words, second):
    cuts = gusset.plan.cuts
    text = on_sheets(gusset, cuts, cuts[second], stop=[words, "M0"])
    assert errors(proof_of(gusset, text))
    assert "pierce-over-void" in {rule for rule, _ in errors(proof_of(gusset, text, drawn=False))}


@pytest.mark.parametrize("words", WORDS[1:])
def test_a_stop_within_a_part_brings_no_sheet(gusset, words):
    cuts = gusset.plan.cuts
    tip = ["tip-change-inside-part"] if "tip" in words else []
    assert told(proof_of(gusset, on_sheets(gusset, cuts[:3], cuts[3:], stop=[words, "M0"]))) == tip
    twice = proof_of(gusset, on_sheets(gusset, cuts, cuts[:3], cuts[3:], stop=[words, "M0"]))
    assert told(twice) == [ASSUMED, *tip]


def test_no_sheet_is_changed_between_the_search_for_the_plate_and_the_cut(gusset):
    lines = on_sheets(gusset, *[gusset.plan.cuts] * 2, stop=["(next sheet)"]).split("\n")
    light = next(k for k in range(lines.index("(next sheet)"), len(lines)) if lines[k] == "M3")
    found = {rule for rule, _ in errors(proof_of(gusset, "\n".join([*lines[:light], "M0", *lines[light:]])))}
    assert "pierce-over-void" in found


def test_the_first_search_of_each_sheet_may_be_as_long_as_that_of_the_program(gusset):
    """Nothing is known of another sheet's height, so no guard can hold its first search against the one before."""
    subject = Subject(gusset)
    lines, first = subject.lines, subject.blocks()[0][0]
    end = next(k for k, line in enumerate(lines) if line.startswith("G92.1"))
    body = lines[first:end]
    proof = subject.prove("\n".join([*lines[:first], *body, "M0", *body, "M0", *body, *lines[end:]]) + "\n")
    assert told(proof) == [ASSUMED, ASSUMED]


def moved(one: Cut, dx: float) -> Cut:
    paths = {
        name: path.moved(dx, 0.0)
        for name in ("lead_in", "contour", "over_burn", "lead_out")
        if (path := getattr(one, name)) is not None
    }
    return replace(one, pierce=(one.pierce[0] + dx, one.pierce[1]), **paths)


@pytest.mark.parametrize(("drawn", "placed"), [(True, True), (True, False), (False, True)])
@pytest.mark.parametrize("count", [2, 3])
def test_a_drawing_cut_whole_on_each_sheet_is_proven(gusset, drawn, placed, count):
    proof = proof_of(gusset, on_sheets(gusset, *[gusset.plan.cuts] * count), drawn=drawn, placed=placed)
    assert proof.verdict == "PROVEN WITH WARNINGS" and told(proof) == [ASSUMED] * (count - 1)


@pytest.mark.parametrize("drawn", [True, False])
def test_holes_on_one_sheet_and_the_outline_on_the_next_are_refused(gusset, drawn):
    cuts = gusset.plan.cuts
    assert cuts[-1].kind == "outline"
    proof = proof_of(gusset, on_sheets(gusset, cuts[:-1], cuts[-1:]), drawn=drawn)
    assert proof.verdict == "NOT PROVEN"
    assert [rule for rule, _ in errors(proof)] == ["new-plate-unproven"]
    (found,) = [f for f in proof.findings if f.rule == "new-plate-unproven"]
    assert "belongs to a piece cut before" in found.message and found.line is not None


def test_the_outline_before_its_holes_is_refused_whatever_a_stop_between_them_says(gusset):
    cuts = gusset.plan.cuts
    proof = proof_of(gusset, on_sheets(gusset, cuts[-1:], cuts[:-1]))
    assert {"new-plate-unproven", "hole-after-outline"} <= {rule for rule, _ in errors(proof)}


def test_each_sheet_is_compared_with_the_drawing_by_itself(gusset):
    cuts = gusset.plan.cuts
    lacking = errors(proof_of(gusset, on_sheets(gusset, cuts, cuts[1:])))
    assert len(lacking) == 1 and lacking[0][0] == "feature-not-cut"
    assert lacking[0][1].startswith("sheet 2: the hole D14 is not cut")
    first = errors(proof_of(gusset, on_sheets(gusset, cuts[1:], cuts[1:])))
    assert [(rule, message.split(":")[0]) for rule, message in first] == [
        ("feature-not-cut", "sheet 1"), ("feature-not-cut", "sheet 2"),
    ]  # fmt: skip


def test_a_hole_that_lies_elsewhere_on_the_second_sheet_alone_is_found(gusset):
    cuts = gusset.plan.cuts
    beside = on_sheets(gusset, cuts, (moved(cuts[0], 0.2), *cuts[1:]))
    found = errors(proof_of(gusset, beside))
    assert {rule for rule, _ in found} == {"gouge", "metal-left"}
    assert all(message.startswith("sheet 2: ") for _, message in found)
    assert any("0.20 mm off its place" in message for _, message in found)


def test_parts_may_be_spread_over_sheets_but_no_part_is(gusset):
    def row(space) -> None:
        for x in (0, 60, 120):
            space.add_lwpolyline([(x, 0), (x + 40, 0), (x + 40, 40), (x, 40)], close=True)
            space.add_circle((x + 20, 20), 6)

    three = cut(dxf(row))
    part: dict[int, list[Cut]] = {}
    home = {f.number: f.part for f in three.parts.features}
    for one in three.plan.cuts:
        part.setdefault(home[one.feature], []).append(one)
    a, b, c = (tuple(cuts) for cuts in part.values())
    assert proof_of(three, on_sheets(three, (*a, *b), (*a, *c))).verdict == "PROVEN WITH WARNINGS"
    never = errors(proof_of(three, on_sheets(three, (*a, *b), a)))
    assert {rule for rule, _ in never} == {"feature-not-cut"} and all(m.startswith("sheet 1") for _, m in never)
    half = errors(proof_of(three, on_sheets(three, (*a, *b), (*a, *c[1:]))))
    assert [(rule, message[:8]) for rule, message in half] == [("feature-not-cut", "sheet 2:")]


@pytest.mark.parametrize("stop", [["(MSG, next sheet)", "M1"], ["M1"], ["(next sheet)"]])
def test_no_stop_or_one_that_may_be_passed_over_brings_none(gusset, stop):
    cuts = gusset.plan.cuts
    found = {rule for rule, _ in errors(proof_of(gusset, on_sheets(gusset, cuts, cuts, stop=stop)))}
    assert "pierce-over-void" in found


def found_proof(outcome: Outcome, text: str, times: int) -> Proof:
    """Return the proof against the drawing given so often, drawn elsewhere than it is cut."""
    contours, slits = api.drawn_contours(outcome.parts.moved(-31.0, 17.0), outcome.left_out)
    return prove(
        text,
        Against(
            control=control_of(outcome.machine),
            machine=outcome.machine,
            process=outcome.process,
            drawn=contours * times,
            slits=slits * times,
            plate=outcome.plan.plate,
            placed=False,
            counts=[(len(contours), len(slits))] * times,
        ),
    )


@pytest.mark.parametrize("times", [1, 2])
def test_a_drawing_found_at_one_place_on_two_sheets_is_laid_down_once(gusset, times):
    proof = found_proof(gusset, on_sheets(gusset, *[gusset.plan.cuts] * 2), times)
    assert told(proof) == [ASSUMED]
    assert len(proof.places) == times


def test_two_sheets_hold_a_drawing_twice_and_no_more(gusset):
    proof = found_proof(gusset, on_sheets(gusset, *[gusset.plan.cuts] * 2), 3)
    assert [rule for rule, _ in errors(proof)] == ["feature-not-cut"]


@pytest.mark.parametrize("times", [1, 2])
def test_a_fault_on_the_second_of_two_sheets_is_told_though_the_place_is_one(gusset, times):
    first, *rest = gusset.plan.cuts
    for second in ((moved(first, 0.6), *rest), tuple(rest)):
        proof = found_proof(gusset, on_sheets(gusset, gusset.plan.cuts, second), times)
        found = [message for _, message in errors(proof)]
        assert found and all(message.startswith("sheet 2: ") for message in found), found


def test_a_cut_made_twice_over_on_one_sheet_is_not_the_drawing_twice(gusset):
    proof = found_proof(gusset, on_sheets(gusset, gusset.plan.cuts * 2), 2)
    assert "feature-not-cut" in {rule for rule, _ in errors(proof)}
    assert any("of 2 is found nowhere in the program" in message for _, message in errors(proof))


@pytest.mark.parametrize("dialect", ["ngc", "compact", "skip", "skip_macro"])
def test_two_programs_with_a_change_of_the_sheet_between_them_are_right(dialect):
    subject = Subject(cut(demo("gusset"), replace(built_in(), dialect=dialect)))
    lines, first = subject.lines, subject.blocks()[0][0]
    end = next(k for k, line in enumerate(lines) if line.startswith(("G92.1", "M2", "M30")))
    proof = subject.prove("\n".join([*lines[:end], *NEXT, *lines[first:]]) + "\n")
    assert told(proof) == [ASSUMED]
    deep = next(line for line in lines if re.match(r"G38|G31", line))
    dive = re.sub(r"Z-[\d.]+", "Z-120", deep)
    diving = subject.prove("\n".join([*lines[:end], *NEXT, *lines[first:]]).replace(deep, dive) + "\n")
    beyond = [f.message[16:20] for f in diving.findings if f.rule == "search-too-deep"]
    assert beyond == ["77.0", "76.0"], "120 less the float of 19, parked 24 over the plate, and raised 25 over it"


def test_rules_that_look_at_the_drawing_judge_each_sheet_by_what_is_cut_on_it():
    for rule in all_rules().values():
        looks = re.search(r"\.(kept|swept|slits)\b", inspect.getsource(inspect.getmodule(rule.judge)))
        assert rule.by_drawing is bool(looks), rule.name
