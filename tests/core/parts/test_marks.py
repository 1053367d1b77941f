"""Drill marks: points and small holes, by setting."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.drawing.drawing import Entity
from kerfproof.geom.path import Path
from kerfproof.job.job import DrawingUse
from kerfproof.parts.classify.choices import DrillKind
from kerfproof.parts.classify.drill_marks import ARM, DIMPLE, LONG_ARM, DrillMarks
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from kerfproof.sentence import said
from support.referees.strategies import drawing_of
from support.shop.shop import cut, dxf

PLATE = Path.rectangle(0, 0, 100, 60)
POINT = Entity("POINT", None, "0", point=(20.0, 30.0), handle="P")


def joined(*entities, **drill):
    return join_contours(drawing_of(PLATE, *entities), JoinSettings(drill=DrillMarks(**drill)))


def test_without_a_setting_points_are_listed_and_small_circles_are_holes():
    got = joined(POINT, Path.circle((50, 30), 1.5))
    assert got.points == ((20, 30),) and not got.open
    assert len(got.closed) == 2
    (note,) = [f for f in got.findings if f.rule == "points-listed"]
    assert note.message == "1 point is not cut: at 20.00, 30.00 mm"
    more = [Entity("POINT", None, "0", point=(25.4 * k, 25.4), handle=f"P{k}") for k in (1, 2, 3)]
    (note,) = joined(*more).findings
    assert said(note.problem, True) == "3 points are not cut: at 1, 1 and 2, 1 in and elsewhere"


def test_points_and_holes_up_to_the_diameter_become_short_pierces_in_their_middle():
    got = joined(POINT, Path.circle((50, 30), 2), Path.circle((80, 30), 5), how=DrillKind.PIERCE, below=4.0)
    assert len(got.closed) == 2 and got.points == ()
    assert all(c.role is Role.SLIT for c in got.open)
    middles = sorted(tuple(((c.path.start + c.path.end) / 2).tolist()) for c in got.open)
    assert np.array(middles) == pytest.approx(np.array([(20, 30), (50, 30)]))
    assert [c.path.length() for c in got.open] == pytest.approx([DIMPLE, DIMPLE])


def test_a_point_in_the_middle_of_a_small_hole_is_one_mark():
    got = joined(POINT, Path.circle((20, 30), 2), how=DrillKind.PIERCE, below=4.0)
    assert len(got.open) == 1 and len(got.closed) == 1


def test_a_cross_has_two_strokes_and_stands_in_no_hole_that_it_would_spoil_and_on_no_point():
    got = joined(POINT, Path.circle((50, 30), 4), Path.circle((80, 30), 3), how=DrillKind.CROSS, below=8.0)
    assert [c.path.length() for c in got.open] == pytest.approx([2 * ARM, 2 * ARM, DIMPLE])
    # Under 4 + kerf + 1 mm the arms reach the metal that stays: no mark, the hole is left to the drill as it is.
    assert [c.path.bounds()[2] for c in got.closed] == pytest.approx([100.0, 83.0])


def test_a_cross_in_a_hole_with_room_for_it_has_long_arms():
    got = joined(Path.circle((30, 30), 7), Path.circle((70, 30), 5), how=DrillKind.CROSS, below=15.0)
    assert [c.path.length() for c in got.open] == pytest.approx([2 * LONG_ARM, 2 * LONG_ARM, 2 * ARM, 2 * ARM])


def test_a_small_part_is_no_drill_mark():
    washer = join_contours(
        drawing_of(Path.circle((0, 0), 1.4)), JoinSettings(drill=DrillMarks(how=DrillKind.PIERCE, below=3.0))
    )
    assert len(washer.closed) == 1 and not washer.open


@pytest.mark.parametrize(
    ("how", "turn", "strokes"), [(DrillKind.PIERCE, 0.0, 2), (DrillKind.PIERCE, 90.0, 2), (DrillKind.CROSS, 30.0, 3)]
)
def test_a_plate_with_marks_for_the_drill_is_cut_and_proven(how, turn, strokes):
    def draw(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_circle((70, 30), 4)
        space.add_point((30, 30))

    use = (DrawingUse(name="part.dxf", turn_deg=turn),)
    outcome = cut(dxf(draw), drawings=use, drill_marks=how, drill_below=8.0)
    assert outcome.ok, [f.sentence() for f in outcome.findings]
    assert [c.kind for c in outcome.plan.cuts] == [*["slit"] * strokes, "outline"]
    assert "drill-marks" in outcome.program.text
    assert "slit-pierce-marks" not in [f.rule for f in outcome.findings]


def test_crosses_in_holes_with_room_for_them_are_lit_on_sound_plate():
    def draw(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_circle((50, 30), 7)

    outcome = cut(dxf(draw), drill_marks=DrillKind.CROSS, drill_below=15.0)
    assert len(outcome.plan.cuts) == 3
    assert not {"touch-off-near-void", "pierces-too-close"} & {f.rule for f in outcome.findings}
