"""A program that goes on with another is judged after what that one cut, whoever finds that one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from kerfproof import api
from kerfproof.errors import KerfproofError, Severity
from kerfproof.job.job import Mode
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.earlier_program import EarlierMissing, earlier_of_outcome, link_of
from kerfproof.programs.prove_program import ProgramAtHand
from kerfproof.report.data.program_lines import program_lines, ranges
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from support.shop.shop import built_in, chart, cut, dxf

SHOP = api.Shop(built_in(), chart())
MISSING = EarlierMissing("lay it beside")


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    for x in (20, 60, 100):
        space.add_circle((x, 40), 10)


DRAWING = DrawingAtHand(name="part.dxf", data=dxf(plate))


@cache
def first():
    outcome = cut(DRAWING.data)
    assert len(outcome.plan.cuts) == 4
    return outcome


@cache
def rest() -> str:
    """Return the program for all but the first cut."""
    earlier = earlier_of_outcome(first(), "first.nc")
    made = resume(earlier.text, earlier.trace, Wish(from_cut=2), earlier.setup)
    assert made.ok
    return made.program.text


def program(text: str, *drawings: DrawingAtHand) -> ProgramAtHand:
    return ProgramAtHand(
        text=text, name="x.nc", shop=SHOP, material="mild steel", thickness=3.0, drawings=drawings
    )  # fmt: skip


def nothing(goes_on):
    return MISSING


def read_first(goes_on):
    return api.as_earlier(program(first().program.text, DRAWING), nothing, "first.nc")


def planned_first(goes_on):
    return earlier_of_outcome(first(), "first.nc")


def errors(proven) -> list[str]:
    return [f.rule for f in proven.findings if f.severity is Severity.ERROR]


def test_an_earlier_program_is_the_same_read_from_its_text_or_planned_anew():
    read, planned = read_first(None), planned_first(None)
    assert read.text == planned.text and read.against == planned.against == "part.dxf"
    for name in ("machine", "plate", "name", "digest", "choices", "tabs", "rests", "before"):
        assert getattr(read.setup, name) == pytest.approx(getattr(planned.setup, name)), name
    assert len(read.setup.drawn) == len(planned.setup.drawn) == 4


@pytest.mark.parametrize("find", [read_first, planned_first])
def test_a_resumed_program_is_proven_together_with_what_was_cut_before(find):
    asked = []

    def noting(goes_on):
        asked.append(goes_on)
        return find(goes_on)

    proven = api.prove_program(program(rest()), noting)
    assert [(one.name, one.wanted) for one in asked] == [("first.nc", (2, 3, 4))]
    assert proven.verdict == "PROVEN" and proven.compared and len(proven.drawn) == 4
    assert proven.against == "part.dxf after what first.nc cut"
    assert proven.whole is not proven.proof and len(proven.whole.runs) == 4 and len(proven.proof.runs) == 3
    lines = dict(program_lines(proven))
    assert lines["holds for"] == proven.whole.holds_for and "comes free" not in lines


def test_what_the_rest_forgets_is_missing_in_both_together():
    earlier = earlier_of_outcome(first(), "first.nc")
    made = resume(earlier.text, earlier.trace, Wish(from_cut=3), earlier.setup)
    assert "(proof: resumed = first.nc" in made.program.text
    lying = made.program.text.replace(" cuts 3 4)", " cuts 2 3 4)")
    assert lying != made.program.text
    assert errors(api.prove_program(program(lying), read_first)) == ["feature-not-cut"]


def test_an_earlier_program_that_is_missing_is_an_error_with_what_to_do():
    proven = api.prove_program(program(rest()), nothing)
    (missing,) = [f for f in proven.findings if f.severity is Severity.ERROR]
    assert (missing.rule, missing.advice) == ("first-missing", "lay it beside")
    assert proven.verdict == "NOT PROVEN" and "not-compared" not in [f.rule for f in proven.findings]
    alone = api.prove_program(program(rest()))
    assert alone.verdict == "PROVEN, BY RULES ALONE", "without a finder it is judged as if it stood alone"


def test_a_finder_is_not_asked_for_a_program_that_stands_alone():
    def never(goes_on):
        raise AssertionError(goes_on)

    assert api.prove_program(program(first().program.text, DRAWING), never).verdict == "PROVEN"


def test_a_chain_of_three_is_known_from_its_beginning_or_not_at_all():
    def second(goes_on):
        return api.as_earlier(program(rest()), read_first, "second.nc")

    before = second(None)
    assert before.against == "part.dxf" and len(before.setup.before) == 1 and before.setup.name == "second.nc"
    third = resume(before.text, before.trace, Wish(from_cut=2), before.setup)
    proven = api.prove_program(program(third.program.text), second)
    assert proven.verdict == "PROVEN" and len(proven.whole.runs) == 4 and len(proven.proof.runs) == 2
    with pytest.raises(KerfproofError, match=r"it goes on with first\.nc, which is not at hand") as refused:
        api.as_earlier(program(rest()), nothing, "second.nc")
    assert (refused.value.where, refused.value.advice) == ("second.nc", "lay it beside")


def test_an_earlier_program_with_errors_is_told_and_one_in_another_unit_refused():
    torn = first().program.text.replace("M5", "G0 X0 Y0\nM5", 1)
    earlier = api.as_earlier(program(torn, DRAWING), nothing, "first.nc")
    assert "first-not-proven" in [f.rule for f in earlier.findings]
    inches = cut(DRAWING.data, replace(built_in(), inches=True)).program.text
    with pytest.raises(KerfproofError, match="the program is in inches"):
        api.as_earlier(program(inches, DRAWING), nothing, "first.nc")


def test_what_nobody_said_of_an_earlier_program_is_told_unless_the_person_did():
    bare = "\n".join(line for line in first().program.text.split("\n") if "proof:" not in line)
    (told,) = [f for f in api.as_earlier(program(bare), nothing, "a.nc").findings if f.rule == "shop-assumed"]
    assert "machine, chart, material, thickness and kerf" in told.message
    said = ("machine", "chart", "material", "thickness", "kerf")
    assert "shop-assumed" not in [f.rule for f in api.as_earlier(program(bare), nothing, "a.nc", said).findings]


def test_a_job_that_cuts_nothing_is_none_to_go_on_with():
    with pytest.raises(KerfproofError, match="the job is a dry, it cuts nothing"):
        earlier_of_outcome(cut(DRAWING.data, mode=Mode.DRY), "first.nc")


def test_a_damaged_link_is_refused():
    assert link_of(first().program.text) is None and link_of(rest()).name == "first.nc"
    with pytest.raises(KerfproofError, match="can't be read where it says what the program goes on with"):
        link_of(rest().replace(" cuts ", " cats "))


def test_cut_numbers_are_told_as_ranges():
    assert ranges((1, 2, 3, 5, 7, 8)) == "1-3, 5, 7-8" and ranges(()) == ""
