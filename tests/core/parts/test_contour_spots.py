"""Contours known again by a place, area and length."""

from __future__ import annotations

import pytest

from kerfproof.geom.path import Path
from kerfproof.job.job import ContourRole, DrawingUse
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from kerfproof.parts.model.contour_spots import PathsByPlace, Spot
from support.referees.strategies import drawing_of
from support.shop.shop import cut, dxf

PATHS = [Path.rectangle(0, 0, 100, 60), Path.circle((50, 30), 10), Path.circle((80, 30), 10)]


def test_the_nearest_contour_within_reach_is_found_and_size_can_speak_against_it():
    assert PathsByPlace(PATHS).nearest((60.1, 30)) == 1
    assert PathsByPlace(PATHS).nearest((0, 12)) == 0
    assert PathsByPlace(PATHS).nearest((50, 30)) is None, "a place in the middle is on no contour"
    assert PathsByPlace(PATHS).nearest((60, 30), area=314.159, length=62.83) == 1
    assert PathsByPlace(PATHS).nearest((60, 30), area=500) is None


def test_one_contour_gets_a_role_of_its_own():
    got = join_contours(drawing_of(*PATHS), JoinSettings(spots=(Spot(role=Role.MARK, x=60, y=30),)))
    assert sorted(c.role for c in got.closed) == [Role.CUT, Role.CUT, Role.MARK]
    got = join_contours(drawing_of(*PATHS), JoinSettings(spots=(Spot(role=Role.IGNORE, x=60, y=30),)))
    assert len(got.closed) == 2


def test_a_role_whose_contour_is_gone_is_told_as_lost():
    got = join_contours(drawing_of(*PATHS), JoinSettings(spots=(Spot(role=Role.MARK, x=500, y=30),)))
    (lost,) = [f for f in got.findings if f.rule == "role-lost"]
    assert (lost.x, lost.y) == (500, 30)


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0])
def test_a_line_made_a_slit_by_hand_stays_one_when_the_drawing_is_turned(turn):
    def draw(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_line((20, 20), (50, 20))

    outcome = cut(
        dxf(draw),
        drawings=(DrawingUse(name="part.dxf", turn_deg=turn),),
        contour_roles=(ContourRole(drawing="part.dxf", x=35.0, y=20.0, role="slit"),),
    )
    assert [c.kind for c in outcome.plan.cuts] == ["slit", "outline"]
    assert "contour-role" in outcome.program.text
