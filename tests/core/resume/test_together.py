"""Two proofs sorted into one: nothing that either finds on the resumed program is lost, whatever its name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.cut_plan import CutPlan
from kerfproof.errors import Finding, Severity
from kerfproof.gcode.writer.writer import write
from kerfproof.plan.build import with_travel
from kerfproof.resume.combined_proof import TOLD_ALONE, judge, merged
from kerfproof.resume.earlier_programs import made
from kerfproof.resume.first_program import first_program
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from kerfproof.sentence import Phrase, of_line, say
from support.programs.going_on import setup_of
from support.shop.shop import cut, dxf

NEW = ("zero-not-followed", "height-not-followed", "tip-left-down", "touch-off-near-void", "a-rule-of-tomorrow")


def found(rule: str, line: int | None, severity: Severity = Severity.ERROR, message: Phrase = "it is wrong") -> Finding:
    return Finding(rule, severity, message, line=line)


@pytest.mark.parametrize("rule", [*NEW, "pierce-over-void", "head-driven-down", "state-inherited", "not-free"])
def test_what_either_proof_finds_on_the_resumed_program_is_kept(rule):
    assert merged([found(rule, 7)], [], 100) == (found(rule, 7),)
    assert merged([], [found(rule, 107)], 100) == (found(rule, 7),)
    assert merged([found(rule, 7)], [found(rule, 107)], 100) == (found(rule, 7),)
    assert merged([], [found(rule, None)], 100) == (found(rule, None),)


def test_the_graver_of_two_is_told():
    alone, both = found("touch-off-near-void", 7, Severity.WARNING), found("touch-off-near-void", 107)
    assert merged([alone], [both], 100) == (replace(both, line=7),)
    assert merged([both], [replace(alone, line=207)], 100)[0].severity is Severity.ERROR


def test_lines_that_a_message_names_are_those_of_the_resumed_program():
    both = found(
        "pierce-over-void", 107, message=say("cut before by that {of}, and {too}", of=of_line(50), too=of_line(103))
    )
    assert merged([], [both], 100)[0].message == "cut before by that of what was cut before, and of line 3"


def test_only_time_and_starts_are_told_of_the_resumed_program_alone():
    assert merged([], [found(rule, 107) for rule in sorted(TOLD_ALONE)], 100) == ()
    assert all(merged([found(rule, 7)], [], 100) for rule in TOLD_ALONE)
    assert merged([], [found("pierce-over-void", 50)], 100) == ()  # made-up text; the first program has its own proof
    assert merged([], [found("not-free", 50)], 100) == (found("not-free", None),)  # metal is metal


# --- what was cut before is not forgotten ---------------------------------------------------------------------


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    for x in (20, 60, 100):
        space.add_circle((x, 40), 12)


@pytest.fixture(scope="module")
def first():
    return cut(dxf(plate))


def judged_after(outcome, text, done, name="first.nc"):
    setup = replace(setup_of(outcome), name=name)
    program = first_program(outcome.proof.trace, setup.process)
    before = with_travel(made(program, done, None, 0.0), setup.machine, setup.plate)
    return judge(text, before, setup, lambda *_: None)


def errors(judged) -> set[str]:
    return {f.rule for f in judged.findings if f.severity is Severity.ERROR}


NAMES = ["first.nc", "new sheet.nc", "plate 2.nc", "change plate.nc", "next plate (M0).nc", "other sheet, turned.nc"]


@pytest.mark.parametrize("name", NAMES)
def test_no_name_of_the_first_program_makes_a_new_plate_of_the_old(first, name):
    """The first line of a resumed program is its name, which stands close behind the seam."""
    setup = replace(setup_of(first), name=name)
    again = resume(first.program.text, first.proof.trace, Wish(from_cut=2), setup)
    assert again.ok
    twice = judged_after(first, again.program.text, (0, 1), name)  # cut 2 is made already
    assert errors(twice) & {"pierce-over-void", "hole-after-outline"}


@pytest.mark.parametrize("words", ["(NEXT PLATE)", "(new sheet)", "(change the plate)"])
def test_no_stop_written_into_a_resumed_program_makes_what_was_cut_forgotten(first, words):
    again = resume(first.program.text, first.proof.trace, Wish(from_cut=2), setup_of(first)).program.text
    assert errors(judged_after(first, again, (0,))) == set()
    lines = again.split("\n")
    move = next(k for k, line in enumerate(lines) if line.startswith("G0 X"))
    edited = "\n".join([*lines[:move], words, "M0", *lines[move:]])
    twice = errors(judged_after(first, edited, (0, 1)))  # cut 2 is made already
    assert twice & {"plate-changed-in-rest", "pierce-over-void", "hole-after-outline"}


def test_many_findings_on_what_was_cut_before_push_out_none_on_the_rest():
    """A rule lists so many places at most, the gravest first; those of the first program are not among them."""

    def rows(space) -> None:
        for k in range(32):
            x, y = 30 * (k % 8), 30 * (k // 8)
            space.add_lwpolyline([(x, y), (x + 18, y), (x + 18, y + 18), (x, y + 18)], close=True)

    outcome = cut(dxf(rows))
    setup = setup_of(outcome)
    program = first_program(outcome.proof.trace, setup.process)
    before = made(program, tuple(range(31)), None, 0.0)
    hanging = [replace(cutting, lead_out=None) for cutting in before]  # these stop as soon as they close: a warning
    rest = replace(program.cuts[31], lead_out=None)
    plan = CutPlan(
        name="rest", cuts=(rest,), plate=setup.plate, machine=setup.machine, process=setup.process, resumed=True
    )  # fmt: skip
    text = write(plan, setup.control).text
    told = judge(text, with_travel(hanging, setup.machine, setup.plate), setup, lambda *_: None).together.findings
    assert [f.message for f in told if f.rule == "cut-may-hang"] == ["the cut ends 0.00 mm after it closes"]


def test_a_pierce_moved_by_hand_into_an_open_kerf_is_found(first):
    again = resume(first.program.text, first.proof.trace, Wish(from_cut=2), setup_of(first)).program.text
    hole = first_program(first.proof.trace, first.process).cuts[0]
    x, y = hole.contour.start
    lines = again.split("\n")
    k = next(k for k, line in enumerate(lines) if line.startswith("G0 X"))
    edited = "\n".join([*lines[:k], f"G0 X{x:.4f} Y{y:.4f}", *lines[k + 1 :]])
    assert "pierce-over-void" in errors(judged_after(first, edited, (0,)))
