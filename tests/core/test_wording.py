"""Sentences in inches: every length of every sentence of the house is turned, and nothing else."""

from __future__ import annotations

import pytest

from kerfproof.errors import Finding, NothingToCut, Severity
from kerfproof.wording import in_inches, refusals, said


@pytest.mark.parametrize(
    ("mm", "inches"),
    [
        ("the slot is 2.9 x 30 mm, the kerf 1.50 mm", "the slot is 0.114 x 1.181 in, the kerf 0.0591 in"),
        ("a feed of 2540 mm/min is too much", "a feed of 100 in/min is too much"),
        ("an acceleration of 500 mm/s2", "an acceleration of 19.7 in/s2"),
        ("a touch (line 3, at 12.70, 25.40 mm)", "a touch (line 3, at 0.5, 1 in)"),
        ("a box from 0.00, 25.40 to 50.80, 76.20 mm", "a box from 0, 1 to 2, 3 in"),
        ("holds for a plate within +-1 mm, off by -0.30 mm", "holds for a plate within +-0.039 in, off by -0.0118 in"),
        ("a gap of 25 um", "a gap of 0.001 in"),
        ("hole 3 D12.7 and outline 50.8 x 25.4 touch", "hole 3 D0.5 in and outline 2 x 1 in touch"),
        ("slit 1 254 mm long", "slit 1 10 in long"),
        ("close the gap or allow --join 0.41mm", "close the gap or allow --join 0.0162in"),
        (
            "open (entity 5F, at 25.40, -50.80 mm of the drawing)",
            "open (entity 5F, at 1, -2 in (25.40, -50.80 mm) of the drawing)",
        ),
    ],
)
def test_a_length_is_told_in_inches_about_as_exactly_as_in_mm(mm: str, inches: str):
    assert in_inches(mm) == said(mm, inches=True) == inches
    assert in_inches(inches) == inches, "turned once, it stays"
    assert said(mm, inches=False) == mm


@pytest.mark.parametrize(
    "text",
    [
        'the field says "3 mm"',
        "gusset 3 mm.dxf is damaged",
        "bracket 3 mm steel.dxf is damaged",
        "the option --join 0.25 mm",
        "100 x 60 mm (3.94 x 2.36 in)",
        "line 12: hole 12 is doubled by entity 3F",
        "rung 2 at 1500 mm per min",
        "the dwell P0.5 of line 3 lasts 0.5 s",
        "0.75 in of 40 %",
        "the layer 3 mm is empty",
        "hole 2 D0.0217 in, slit 1 0.5 in long",
        "hole 2 4 x 4 in",
    ],
)
def test_what_is_no_length_or_a_persons_own_stays(text: str):
    assert in_inches(text) == text


def test_a_number_that_is_not_nothing_is_never_told_as_nothing():
    assert in_inches("off by 0.02 um") == "off by 0.000001 in"
    assert in_inches("off by 0.000 mm") == "off by 0 in"


def test_a_refusal_keeps_its_kind_and_its_place():
    error = NothingToCut("a slot of 2.54 mm", where="plate 3 mm.dxf", advice="make it 25.4 mm wide")
    with pytest.raises(NothingToCut) as told, refusals(inches=True):
        raise error
    assert told.value is error and error.args == (error.what,)
    assert str(error) == "plate 3 mm.dxf: a slot of 0.1 in (make it 1 in wide)"


def test_the_place_of_a_finding_is_turned_too():
    finding = Finding("x", Severity.NOTE, "odd", "look", line=7, x=25.4, y=-50.8, drawing="a.dxf")
    assert in_inches(finding.sentence()) == "odd (line 7, at 1, -2 in (25.40, -50.80 mm) of the drawing) -> look"
