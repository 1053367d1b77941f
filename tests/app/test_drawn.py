"""A drawing that a program is compared with is read in its own unit, unless it is the one that the program is of."""

from __future__ import annotations

import pytest

import shop
from kerfproof import api
from kerfproof.report.claims import Claims, DrawingClaim
from kerfproof_app.drawn import drawn_for
from kerfproof_app.given import Given

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
    drawn = drawn_for(Claims(drawings=(claimed,)), [Given(name="pump-flange.dxf", data=FLANGE)], None)
    x0, _, x1, _ = max((c.path.bounds() for c in drawn.contours), key=lambda box: box[2] - box[0])
    assert (x1 - x0 > 50.0) is inches
