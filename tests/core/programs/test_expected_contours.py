"""A drawing that a program is compared with is read in its own unit, unless it is the one that the program is of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof import api
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.expected_contours import expected_contours
from kerfproof.programs.read_header import Claims, DrawingClaim
from support.shop import shop

FLANGE = shop.demo("pump-flange")
"""A drawing in inches that says so."""


@pytest.mark.parametrize(
    ("claimed", "inches"),
    [
        (DrawingClaim(name="gusset.dxf", digest="0" * 64, mm_per_unit=1.0), True),
        (DrawingClaim(name="gusset.dxf", digest=api.digest(FLANGE), mm_per_unit=1.0), False),
        (DrawingClaim(name="pump-flange.dxf", digest="0" * 64, mm_per_unit=1.0), False),
    ],
)
def test_what_the_heading_says_of_the_unit_holds_for_its_own_drawing_alone(claimed, inches):
    drawn = expected_contours(Claims(drawings=(claimed,)), [DrawingAtHand(name="pump-flange.dxf", data=FLANGE)])
    x0, _, x1, _ = max((c.path.bounds() for c in drawn.contours), key=lambda box: box[2] - box[0])
    assert (x1 - x0 > 50.0) is inches


def test_a_drawing_that_two_headings_say_lies_at_one_place_is_laid_down_once():
    given = [DrawingAtHand(name="pump-flange.dxf", data=FLANGE)]
    one = DrawingClaim(name="pump-flange.dxf", digest=api.digest(FLANGE), shift=(11.45, 11.45))
    alone = expected_contours(Claims(drawings=(one,)), given)
    again = expected_contours(Claims(drawings=(one, replace(one, shift=(11.4504, 11.45)))), given)
    assert len(again.contours) == len(alone.contours) and len(again.counts) == 1
    for other in (replace(one, shift=(11.45, 300.0)), replace(one, turn_deg=90.0), replace(one, mirror=True)):
        both = expected_contours(Claims(drawings=(one, other)), given)
        assert len(both.contours) == 2 * len(alone.contours)


def test_a_drawing_given_twice_without_a_place_stays_wanted_twice():
    given = [DrawingAtHand(name="pump-flange.dxf", data=FLANGE)] * 2
    assert len(expected_contours(Claims(), given).counts) == 2
    assert len(expected_contours(Claims(), given, at=(5.0, 5.0)).counts) == 1
