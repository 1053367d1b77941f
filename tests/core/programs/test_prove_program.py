"""A program that is there already is judged by its text, what its heading says, and the drawings that are at hand."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from kerfproof import api
from kerfproof.coupon.piece import CouponRequest, kind_of
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import RoleRule, SmallHoles
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.prove_program import Advice, ProgramAtHand
from kerfproof.report.data.program_lines import program_lines
from support.shop.shop import built_in, chart, cut, dxf

SHOP = api.Shop(built_in(), chart())
ADVICE = Advice(drawing="lay it beside", machine="say which machine")


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_circle((30, 40), 10)
    space.add_circle((90, 40), 10, dxfattribs={"layer": "HOLES"})


DRAWING = DrawingAtHand(name="part.dxf", data=dxf(plate))


@cache
def text() -> str:
    outcome = cut(DRAWING.data)
    assert outcome.program is not None and outcome.proof.verdict == "PROVEN"
    return outcome.program.text


def bare() -> str:
    return "\n".join(line for line in text().split("\n") if "proof:" not in line)


def program(said: str, *drawings: DrawingAtHand, **more) -> ProgramAtHand:
    values = {"name": "part.nc", "shop": SHOP, "material": "mild steel", "thickness": 3.0, "advice": ADVICE}
    return ProgramAtHand(text=said, drawings=drawings, **(values | more))


def told(proven, *severities: Severity) -> list[str]:
    return [f.rule for f in proven.findings if f.severity in (severities or (Severity.ERROR, Severity.WARNING))]


def test_a_program_is_compared_with_the_drawing_that_its_heading_names_given_or_found():
    asked = []

    def find(name):
        asked.append(name)
        return DRAWING

    given, found = api.prove_program(program(text(), DRAWING)), api.prove_program(program(text(), find_drawing=find))
    assert asked == ["part.dxf"]
    for proven in (given, found):
        assert (proven.verdict, proven.compared, proven.against) == ("PROVEN", True, "part.dxf")
        assert proven.whole is proven.proof and len(proven.drawn) == 3 and proven.expected.placed
    assert given.findings == found.findings and program_lines(given) == program_lines(found)


def test_without_its_drawing_the_rules_alone_are_proven_and_that_is_told_with_what_to_do():
    proven = api.prove_program(program(text()))
    (missing,) = [f for f in proven.findings if f.rule == "drawing-missing"]
    assert missing.advice == "lay it beside" and missing.severity is Severity.WARNING
    assert proven.verdict == "PROVEN WITH WARNINGS, BY RULES ALONE" and not proven.compared and proven.drawn == ()
    assert "not-compared" not in told(proven, Severity.NOTE), "the missing drawing tells why"
    assert "comes free" in dict(program_lines(proven))
    nameless = api.prove_program(program(bare()))
    assert "not-compared" in told(nameless, Severity.NOTE) and nameless.verdict == "PROVEN, BY RULES ALONE"


def test_a_program_that_says_nothing_is_laid_on_its_drawing_or_where_it_is_said_to_lie():
    found = api.prove_program(program(bare(), DRAWING))
    assert found.compared and not found.expected.placed and told(found, Severity.ERROR) == []
    ((_, shift),) = api.prove_program(program(text(), DRAWING)).expected.shifts
    said = api.prove_program(program(bare(), DRAWING, at=shift))
    assert said.expected.shifts == (("part.dxf", shift),) and told(said, Severity.ERROR) == []
    off = api.prove_program(program(bare(), DRAWING, at=(shift[0] + 7.0, shift[1])))
    assert off.verdict == "NOT PROVEN"


def test_another_drawing_than_the_heading_names_is_told_and_judged():
    def wider(space) -> None:
        plate(space)
        space.add_circle((60, 40), 8)

    proven = api.prove_program(program(text(), replace(DRAWING, data=dxf(wider))))
    assert "drawing-changed" in told(proven) and "feature-not-cut" in told(proven, Severity.ERROR)
    more = api.prove_program(program(text(), DRAWING, DrawingAtHand(name="other.dxf", data=dxf(wider))))
    assert told(more) == ["drawing-missing"] and more.compared


def test_what_the_person_chooses_of_reading_the_drawing_overrules_the_heading():
    job = replace(cut(DRAWING.data).job, roles=(RoleRule(role="ignore", layer="HOLES"),))
    assert len(api.prove_program(program(text(), DRAWING)).drawn) == 3
    ignoring = api.prove_program(program(text(), DRAWING, choices=job))
    assert len(ignoring.drawn) == 2 and ignoring.verdict == "NOT PROVEN", "a hole is cut that is not expected any more"


def test_a_unit_that_is_said_overrules_the_heading():
    proven = api.prove_program(program(text(), replace(DRAWING, mm_per_unit=25.4), mm_per_unit=25.4))
    x0, _, x1, _ = max((c.path.bounds() for c in proven.drawn), key=lambda box: box[2] - box[0])
    assert x1 - x0 == pytest.approx(120 * 25.4) and proven.verdict == "NOT PROVEN"


def test_the_heading_names_the_process_and_another_plate_takes_none_of_it():
    slow = re.sub(r"proof: kerf = [\d.]+", "proof: kerf = 1.900", text())
    assert api.prove_program(program(slow)).process.kerf == pytest.approx(1.9)
    assert api.prove_program(program(slow, kerf=1.2)).process.kerf == pytest.approx(1.2)
    other = api.prove_program(program(slow, thickness=6.0))
    at_40 = replace(cut(DRAWING.data).job, thickness=6.0, amps=40.0)  # the current it says stays
    row = api.process_of(at_40, SHOP.chart, SHOP.machine)
    assert other.process.kerf == pytest.approx(row.kerf) and other.process.thickness == 6.0


def test_a_heading_that_contradicts_its_words_and_a_machine_that_is_another_are_told():
    wrong = re.sub(r"proof: kerf = [\d.]+", "proof: kerf = 1.900", text())
    assert "heading-contradicted" in told(api.prove_program(program(wrong, DRAWING)), Severity.ERROR)
    changed = replace(SHOP, machine=replace(SHOP.machine, rapid_mm_min=SHOP.machine.rapid_mm_min - 100))
    assert "other-machine" in told(api.prove_program(program(text(), DRAWING, shop=changed)), Severity.WARNING)


def test_notes_come_first_and_count():
    note = Finding("machine-assumed", Severity.WARNING, "nobody named the machine")
    proven = api.prove_program(program(text(), DRAWING, notes=(note,), assumed="3 mm steel"))
    assert proven.findings[0] is note and proven.verdict == "PROVEN WITH WARNINGS"
    assert ("assumed", "3 mm steel") in program_lines(proven)


def test_a_text_that_lights_no_torch_or_is_too_long_is_refused(monkeypatch):
    with pytest.raises(KerfproofError, match="no torch is lit in it by") as refused:
        api.prove_program(program("G21 G90\nG0 X10\nM2\n"))
    assert (refused.value.where, refused.value.advice) == ("part.nc", "say which machine")
    monkeypatch.setattr("kerfproof.programs.prove_program.MOST_LINES", 20)
    with pytest.raises(KerfproofError, match=r"the program has \d+ lines, more than 20"):
        api.prove_program(program(text()))


def test_a_hole_that_the_heading_leaves_to_the_drill_is_listed_and_not_expected():
    def with_small_hole(space) -> None:
        plate(space)
        space.add_circle((60, 40), 1)

    drawing = replace(DRAWING, data=dxf(with_small_hole))
    outcome = cut(drawing.data, small_holes=SmallHoles.DRILL)
    assert len(outcome.left_out) == 1
    proven = api.prove_program(program(outcome.program.text, drawing))
    assert [label for label, _, _ in proven.drill] == [outcome.left_out[0].label]
    assert len(proven.drawn) == 3 and "hole-to-drill" in told(proven, Severity.WARNING)


def test_findings_of_a_drawing_lie_on_each_of_its_copies():
    job = cut(DRAWING.data).job
    made = api.plan(replace(job, drawings=(replace(job.drawings[0], count=2),)), {"part.dxf": DRAWING.data}, SHOP)
    proven = api.prove_program(program(made.program.text, DRAWING))
    places = proven.places_of(Finding("x", Severity.NOTE, "", x=1.0, y=2.0, drawing="part.dxf"))
    meant = [(1.0 + copy.shift[0], 2.0 + copy.shift[1]) for copy in made.copies]
    assert len(places) == 2 and np.array(sorted(places)) == pytest.approx(np.array(sorted(meant)), abs=1e-3)
    assert proven.places_of(Finding("x", Severity.NOTE, "", x=1.0, y=2.0)) == ((1.0, 2.0),)


def test_a_test_piece_is_known_by_what_it_does_and_spared_what_it_means_to_try():
    process = api.process_of(cut(DRAWING.data).job, SHOP.chart, SHOP.machine)
    piece = kind_of("feed").make(CouponRequest(machine=SHOP.machine, process=process, control=control_of(SHOP.machine)))
    proven = api.prove_program(program(piece.program.text))
    assert told(proven, Severity.ERROR) == [] and proven.verdict == "PROVEN, BY RULES ALONE"
    halved = re.sub(r"\bF(\d+)", lambda found: f"F{int(found[1]) // 3}", piece.program.text)
    assert halved != piece.program.text and told(api.prove_program(program(halved))) != []
