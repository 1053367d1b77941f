from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import Point as Spot

from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.job.job import SmallHoles
from kerfproof.parts.model.part import FeatureKind, Parts
from kerfproof.plan.kerf import KerfLoops, kerf_loops
from support.referees.referee import flat, kept, signed_area
from support.shop.toolpath_shapes import Sheet, job, machine, process, rounded_rectangle, slot

STAR = [
    (50 + r * math.cos(a), 50 + r * math.sin(a))
    for r, a in ((40 if k % 2 else 22, 2 * math.pi * k / 10) for k in range(10))
]
OUTLINES = {
    "rectangle": Path.rectangle(0, 0, 100, 60),
    "rounded rectangle": rounded_rectangle(0, 0, 100, 60, 8),
    "disc": Path.circle((50, 50), 40),
    "corner piece": Path.polyline([(0, 0), (80, 0), (80, 30), (30, 30), (30, 90), (0, 90)], closed=True),
    "star": Path.polyline(STAR, closed=True),
    "long hole shape": slot(0, 20, 100, 40),
}


def loops_of(sheet: Sheet, **changes: object) -> KerfLoops:
    turned = {k: v for k, v in changes.items() if k == "swirl_clockwise"}
    chosen = {k: v for k, v in changes.items() if k in ("small_holes", "sharp_corners")}
    values = {k: v for k, v in changes.items() if k not in (*turned, *chosen)}
    parts: Parts = sheet.parts()
    return kerf_loops(parts.features, machine(**turned), process(**values), job(**chosen))


def kept_right_of_travel(path: Path, metal: object, kerf: float) -> bool:
    """Sample the middle of each primitive: metal begins half a kerf to the right, and not to the left."""
    points = flat(path, 0.01)
    if path.closed and not np.allclose(points[0], points[-1]):
        points = np.vstack([points, points[:1]])
    middle, step = (points[1:] + points[:-1]) / 2, np.diff(points, axis=0)
    normal = np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]
    long = np.hypot(*step.T) > 0.5
    right = middle[long] + normal[long] * (kerf / 2 + 0.05)
    left = middle[long] - normal[long] * (kerf / 2 + 0.05)
    on = [metal.contains(Spot(p)) for p in right]  # type: ignore[attr-defined]
    off = [metal.contains(Spot(p)) for p in left]  # type: ignore[attr-defined]
    return all(on) and not any(off)


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize("drawn_backwards", [False, True])
@pytest.mark.parametrize("name", OUTLINES)
def test_kept_metal_lies_right_of_travel_and_left_with_the_swirl_turned(
    name: str, drawn_backwards: bool, clockwise: bool
) -> None:
    path = OUTLINES[name].reversed() if drawn_backwards else OUTLINES[name]
    sheet = Sheet()
    outline = sheet.outline(path)
    hole = Path.circle((15, 15), 5) if name not in ("star", "disc") else Path.circle((50, 50), 5)
    sheet.hole(hole.reversed() if drawn_backwards else hole, outline)
    made = loops_of(sheet, swirl_clockwise=clockwise)
    assert [loop.feature.kind for loop in made.loops] == [FeatureKind.OUTLINE, FeatureKind.HOLE]
    metal = kept(path, [hole])
    for loop in made.loops:
        travelled = loop.path if clockwise else loop.path.reversed()
        assert kept_right_of_travel(travelled, metal, 1.45)
    assert (signed_area(made.loops[0].path) < 0) is clockwise


def test_an_island_runs_clockwise_and_the_hole_round_it_counter_clockwise() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 200, 200))
    hole = sheet.hole(Path.rectangle(40, 40, 160, 160), outline)
    sheet.outline(Path.rectangle(70, 70, 130, 130), within=hole)
    areas = [signed_area(loop.path) for loop in loops_of(sheet).loops]
    k = 1.45
    # Steiner: area + perimeter k/2 + pi k2/4 outside with rolled corners, mitred inside.
    assert areas[0] == pytest.approx(-(200**2 + 800 * k / 2 + math.pi * k * k / 4), abs=0.01)
    assert areas[1] == pytest.approx((120 - k) ** 2, abs=0.01)
    assert areas[2] == pytest.approx(-(60**2 + 240 * k / 2 + math.pi * k * k / 4), abs=0.01)


def test_known_plate_has_the_known_lengths() -> None:
    # 100 x 60 with a 20 mm hole, kerf 1.5: outline 320 + 2 pi 0.75 = 324.712, hole 18.5 pi = 58.119 (arithmetic).
    sheet = Sheet()
    sheet.hole(Path.circle((50, 30), 10), sheet.outline(Path.rectangle(0, 0, 100, 60)))
    outline, hole = loops_of(sheet, kerf=1.5).loops
    assert outline.path.length() == pytest.approx(324.712389, abs=1e-5)
    assert hole.path.length() == pytest.approx(58.119464, abs=1e-5)


def test_a_slowed_hole_takes_its_own_kerf_and_a_large_one_does_not() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 200, 100))
    sheet.hole(Path.circle((40, 50), 5), outline)
    sheet.hole(Path.circle((140, 50), 30), outline)
    made = loops_of(sheet, hole_kerf=1.65).loops
    assert [(loop.kerf, loop.slow) for loop in made] == [(1.45, False), (1.65, True), (1.45, False)]
    assert made[1].path.length() == pytest.approx(2 * math.pi * (5 - 0.825), abs=1e-6)


def test_a_slit_stays_on_its_line_and_a_mark_is_told_and_not_cut() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 60))
    drawn = Path.polyline([(20, 30), (80, 30)])
    sheet.line(FeatureKind.SLIT, drawn, outline)
    mark = sheet.line(FeatureKind.MARK, Path.polyline([(20, 20), (30, 20)]), outline)
    made = loops_of(sheet)
    assert made.loops[1].path is drawn
    assert mark.number not in {loop.feature.number for loop in made.loops}
    assert made.left_out == ()
    assert [(f.rule, f.severity) for f in made.findings] == [("mark-not-cut", Severity.NOTE)]


@pytest.mark.parametrize(
    ("choice", "rule", "severity", "loops", "left"),
    [
        (SmallHoles.ERROR, "hole-too-small", Severity.ERROR, 1, 0),
        (SmallHoles.DRILL, "hole-to-drill", Severity.WARNING, 1, 1),
        (SmallHoles.ROUGH, None, None, 2, 0),  # the proof tells what is cut all the same
    ],
)
def test_a_hole_under_the_smallest_is_refused_drilled_or_cut_as_chosen(
    choice: SmallHoles, rule: str | None, severity: Severity | None, loops: int, left: int
) -> None:
    sheet = Sheet()
    sheet.hole(Path.circle((50, 30), 2.95), sheet.outline(Path.rectangle(0, 0, 100, 60)))
    made = loops_of(sheet, small_holes=choice)
    told = [(rule, severity, 50, 30)] if rule is not None else []
    assert [(f.rule, f.severity, f.x, f.y) for f in made.findings] == told
    assert (len(made.loops), len(made.left_out)) == (loops, left)


def test_a_hole_of_just_the_smallest_size_is_cut() -> None:
    sheet = Sheet()
    sheet.hole(Path.circle((50, 30), 3.0), sheet.outline(Path.rectangle(0, 0, 100, 60)))
    assert loops_of(sheet).findings == ()


@pytest.mark.parametrize(("width", "cut"), [(1.4, False), (1.7, False), (3.6, False), (3.7, True)])
def test_a_slot_under_two_and_a_half_kerfs_is_left_to_the_drill_whatever_is_chosen(width: float, cut: bool) -> None:
    for choice in (SmallHoles.DRILL, SmallHoles.ROUGH):
        sheet = Sheet()
        sheet.hole(slot(30, 30, 40, width), sheet.outline(Path.rectangle(0, 0, 100, 60)))
        made = loops_of(sheet, min_hole=0.5, small_holes=choice)
        assert [f.rule for f in made.findings] == ([] if cut else ["hole-to-drill"])
        assert len(made.loops) == (2 if cut else 1)


def test_a_neck_that_closes_is_an_error_at_the_neck() -> None:
    dumbbell = [(20, 20), (40, 20), (40, 29.5), (60, 29.5), (60, 20), (80, 20), (80, 40), (60, 40)]
    dumbbell += [(60, 30.5), (40, 30.5), (40, 40), (20, 40)]
    sheet = Sheet()
    sheet.hole(Path.polyline(dumbbell, closed=True), sheet.outline(Path.rectangle(0, 0, 100, 60)))
    made = loops_of(sheet)
    assert [(f.rule, f.severity) for f in made.findings] == [("neck-closes", Severity.ERROR)]
    assert len(made.loops) == 3


def test_a_notch_narrower_than_the_kerf_is_left_to_the_proof_to_tell() -> None:
    notched = [(0, 0), (100, 0), (100, 60), (51, 60), (51, 40), (50, 40), (50, 60), (0, 60)]
    sheet = Sheet()
    sheet.outline(Path.polyline(notched, closed=True))
    made = loops_of(sheet)
    assert made.findings == () and len(made.loops) == 1


def test_an_inside_corner_alone_is_no_finding() -> None:
    sheet = Sheet()
    sheet.outline(OUTLINES["corner piece"])
    assert loops_of(sheet).findings == ()


def test_a_contour_that_crosses_itself_is_named() -> None:
    sheet = Sheet()
    sheet.outline(Path.polyline([(0, 0), (100, 60), (100, 0), (0, 50)], closed=True))
    made = loops_of(sheet)
    assert [(f.rule, f.severity) for f in made.findings] == [("kerf-not-found", Severity.ERROR)]
    assert made.loops == ()
