from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import Point as Spot

from kerfproof.geom.path import Path
from kerfproof.job.job import SmallHoles
from kerfproof.parts.model.part import Feature
from kerfproof.plan.build import plan_cuts
from kerfproof.plan.holes import (
    HoleBand,
    hole_band,
    holes_to_drill,
    is_drilled,
    is_slow,
    may_be_drilled,
    slow_feed,
    too_small,
)
from support.referees.referee import kept
from support.shop.toolpath_shapes import Sheet, job, machine, process, slot


def holes(*paths: Path) -> list[Feature]:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 300, 100))
    return [sheet.hole(path, outline) for path in paths]


@pytest.mark.parametrize(("thickness", "slow"), [(1.0, 14.9), (3.0, 14.9), (6.0, 23.9)])
def test_holes_under_15_mm_or_four_thicknesses_are_slowed(thickness: float, slow: float) -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 100))
    hole = sheet.hole(Path.circle((50, 50), slow / 2), outline)
    assert is_slow(hole, slow, process(thickness=thickness))
    assert not is_slow(hole, slow + 0.1, process(thickness=thickness))
    assert not is_slow(outline, slow, process(thickness=thickness))


# 3 mm, kerf 1.45: the smallest hole 6 mm (chart), never cut under 2.5 kerfs = 3.625 mm; 8 mm: never under 8 mm.
@pytest.mark.parametrize(
    ("thickness", "width", "length", "band"),
    [
        (3.0, 6.0, 6.0, HoleBand.CUT),
        (3.0, 5.9, 5.9, HoleBand.ROUGH),
        (3.0, 5.9, 9.0, HoleBand.ROUGH),
        (3.0, 5.0, 50.0, HoleBand.CUT),
        (3.0, 3.7, 8.0, HoleBand.CUT),
        (3.0, 3.7, 3.7, HoleBand.ROUGH),
        (3.0, 3.6, 50.0, HoleBand.DRILL),
        (8.0, 5.0, 6.2, HoleBand.DRILL),
        (8.0, 7.9, 60.0, HoleBand.DRILL),
        (8.0, 8.1, 60.0, HoleBand.CUT),
    ],
)
def test_a_hole_is_cut_rough_or_drilled_by_the_largest_circle_inside(
    thickness: float, width: float, length: float, band: HoleBand
) -> None:
    p = process(thickness=thickness, min_hole=max(6.0, 1.5 * thickness))
    assert hole_band(width, width * length, p) is band


def test_what_is_left_to_the_drill_follows_the_band_and_the_choice() -> None:
    left = {(band, choice) for band in HoleBand for choice in SmallHoles if is_drilled(band, choice)}
    every = {(HoleBand.DRILL, choice) for choice in SmallHoles}
    assert left == every | {(HoleBand.ROUGH, SmallHoles.DRILL)}


def test_a_sliver_is_refused_by_its_width_a_round_hole_by_its_diameter() -> None:
    p = process(thickness=3.0)
    round_one, sliver = holes(Path.circle((50, 50), 1), slot(50, 50, 40, 1))
    assert "is under 6 mm, the smallest hole for 3 mm plate" in too_small(round_one, 2.0, 3.1, p).message
    assert "is 1 mm wide, under 3.625 mm, the smallest slot for 3 mm" in too_small(sliver, 1.0, 41.0, p).message


def test_holes_to_drill_are_one_warning_with_their_sizes() -> None:
    three = holes(Path.circle((20, 20), 2.75), Path.circle((40, 20), 2.75), slot(60, 20, 40, 3))
    (told,) = holes_to_drill(three, [5.5, 5.5, 3.0])
    assert told.message == "3 holes to drill, left out: 2 of 5.5 mm, 1 of 3 mm width"
    assert told.problem.told(inches=True) == "3 holes to drill, left out: 2 of 0.217 in, 1 of 0.118 in width"  # type: ignore[union-attr]
    assert "as one line" in told.advice and (told.x, told.y) == (20, 20)
    many = holes_to_drill(
        holes(*(Path.circle((20 * k, 20), 1 + k / 20) for k in range(1, 13))), [2.0 + k / 10 for k in range(12)]
    )
    assert len(many) == 1 and many[0].message.endswith("5 more sizes")
    assert holes_to_drill([], []) == ()


def test_only_holes_that_are_too_small_may_be_left_out() -> None:
    p = process(thickness=3.0)
    found, widths = may_be_drilled(holes(Path.circle((20, 20), 2.75), Path.circle((60, 20), 9), slot(90, 50, 60, 5)), p)
    assert [f.diameter for f in found] == [pytest.approx(5.5)] and widths == [pytest.approx(5.5)]


def test_the_feed_of_a_slow_hole_is_a_share_of_the_chart_or_what_its_circle_allows() -> None:
    p = process(feed_mm_min=2200.0, kerf=1.6)
    # 0.7 sqrt(400 x 2.2) = 20.77 mm/s = 1246 mm/min for a 6 mm hole.
    assert slow_feed(6.0, 1.6, p, 400.0) == pytest.approx(1246, abs=1)
    assert slow_feed(14.0, 1.6, p, 4000.0) == pytest.approx(0.6 * 2200)
    assert np.isfinite(slow_feed(1.0, 1.6, p, 400.0))


# Each width from 2.5 kerfs or the thickness up; the distance from kept metal is measured by shapely.
@pytest.mark.parametrize(("thickness", "kerf"), [(1.5, 1.3), (3.0, 1.45), (6.0, 1.7), (8.0, 1.8)])
@pytest.mark.parametrize("ends", ["round", "square"])
def test_a_slot_is_pierced_on_its_center_line_as_far_from_its_edges_as_it_allows(
    thickness: float, kerf: float, ends: str
) -> None:
    p = process(
        thickness=thickness, kerf=kerf, min_hole=max(1.5 * thickness, 4 * kerf), lead_radius=max(3, 2 + thickness / 2)
    )
    least = max(2.5 * kerf, thickness)
    cases = [
        (w, n * w, turn) for w in np.linspace(least, 20, 6) for n in (2, 3, 5) for turn in (0.0, 0.3) if n * w <= 100
    ]
    cases += [(w, 100.0, 0.3) for w in (least, 8.5)]
    for width, length, turn in cases:
        sheet = Sheet()
        drawn = slot(-length / 2 + width / 2, 0, length - width, width)
        if ends == "square":
            drawn = Path.rectangle(-length / 2, -width / 2, length / 2, width / 2)
        c, s = math.cos(turn), math.sin(turn)
        drawn = drawn.transformed([[c, -s], [s, c]])
        hole = sheet.hole(drawn, sheet.outline(Path.rectangle(-80, -80, 80, 80)))
        plan = plan_cuts(sheet.parts(), sheet.bounds(30), machine(), p, job())
        (cut,) = (cut for cut in plan.cuts if cut.feature == hole.number)
        metal = kept(sheet.parts().parts[0].outline.contour.path, [drawn])
        wanted = min(0.95 * width / 2, p.crater_radius + 0.5)
        assert metal.distance(Spot(cut.pierce)) >= wanted - 0.005, (width, length, turn)
