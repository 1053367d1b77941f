"""Inside and nesting, against shapely."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import containers, inside, nesting, path_areas, path_boxes
from support.drawings.curves import curve, curves, polygon


def points_round(path: Path, rng: np.random.Generator, count: int) -> np.ndarray:
    x0, y0, x1, y1 = polygon(path).bounds
    return rng.uniform((x0 - 1, y0 - 1), (x1 + 1, y1 + 1), (count, 2))


@given(st.integers(0, 10**6))
def test_inside_is_what_shapely_says_away_from_the_chords(seed: int) -> None:
    path = curve(seed)
    assume(path is not None)
    assert path is not None
    points = points_round(path, np.random.default_rng(seed), 400)
    shape = polygon(path)
    clear = shapely.distance(shape.exterior, shapely.points(points)) > 2e-3
    expected = shapely.contains_xy(shape, points)
    assert np.array_equal(inside(Bundle.of([path]), points)[clear], expected[clear])


def test_points_level_with_vertices_tops_and_bottoms_are_judged_rightly() -> None:
    paths = [
        Path.circle((0, 0), 5),
        Path([(0, -5, 1), (0, 5, 1)], True),  # the same circle, parted at top and bottom
        Path.rectangle(-5, -5, 5, 5),
        Path.polyline([(-5, 0), (0, -5), (5, 0), (0, 5)], closed=True),
    ]
    for path in paths:
        for y in (-5.0, 0.0, 5.0):
            sides = inside(Bundle.of([path]), np.array([(-9.0, y), (9.0, y), (-5.000001, y), (5.000001, y)]))
            assert not sides.any()
        assert inside(Bundle.of([path]), np.array([(0.0, 0.0), (4.9, 0.0), (-4.9, 0.0)])).all()


def test_an_arc_counts_by_its_bow_not_by_its_chord() -> None:
    bowed = Path([(0, 0, 0.2), (10, 0, 0), (10, 10, 0), (0, 10, 0)], True)
    # The lowest point of the bow lies at y = -1 (bulge 0.2 of a chord of 10: sagitta 1).
    assert inside(Bundle.of([bowed]), np.array([(5.0, -0.999999), (5.0, -1.000001)])).tolist() == [True, False]


def test_even_odd_counts_holes_and_islands() -> None:
    rings = Bundle.of([Path.circle((0, 0), r) for r in (30, 20, 10)])
    points = np.array([(0.0, 0.0), (15.0, 0.0), (25.0, 0.0), (35.0, 0.0)])
    assert inside(rings, points).tolist() == [True, False, True, False]
    assert [list(x) for x in containers(rings, points)] == [[0, 0, 0, 1, 1, 2], [0, 1, 2, 0, 1, 0]]


def test_open_paths_hold_nothing() -> None:
    both = Bundle.of([Path.polyline([(0, 0), (10, 0), (10, 10)]), Path.rectangle(0, 0, 4, 4)])
    assert inside(both, np.array([(8.0, 2.0), (2.0, 2.0)])).tolist() == [False, True]
    assert not inside(Bundle.of([Path.polyline([(0, 0), (10, 0)])]), np.zeros((1, 2))).any()


def test_nothing_holds_nothing() -> None:
    assert inside(Bundle.of([]), np.zeros((2, 2))).tolist() == [False, False]
    assert [len(x) for x in containers(Bundle.of([Path.circle((0, 0), 1)]), np.empty((0, 2)))] == [0, 0]
    assert [len(x) for x in nesting(Bundle.of([]))] == [0, 0]


def test_nesting_of_rings_in_rings_names_the_innermost_holder() -> None:
    paths = [Path.circle((5, 0), 1), Path.rectangle(-50, -50, 50, 50), Path.circle((0, 0), 20), Path.circle((90, 0), 9)]
    depth, parent = nesting(Bundle.of(paths))
    assert depth.tolist() == [2, 0, 1, 0]
    assert parent.tolist() == [2, -1, 1, -1]


def test_nesting_holds_where_contours_touch_from_inside() -> None:
    outer, inner = Path.rectangle(0, 0, 10, 10), Path.rectangle(0, 0, 10, 4)
    depth, parent = nesting(Bundle.of([outer, inner, Path.circle((5, 7), 3)]))
    assert depth.tolist() == [0, 1, 1]
    assert parent.tolist() == [-1, 0, 0]


def test_areas_and_boxes_are_those_of_shapely_also_far_away() -> None:
    paths = [p.moved(dx, dx) for p in curves(40, 20) for dx in (0.0, 1e6)]
    areas, boxes = path_areas(Bundle.of(paths)), path_boxes(Bundle.of(paths))
    for path, area, box in zip(paths, areas, boxes, strict=True):
        near = path.moved(-path.start[0], -path.start[1])
        shape = polygon(near, 1e-5)
        sign = 1 if shape.exterior.is_ccw else -1
        assert abs(area - sign * shape.area) < 2e-5 * shape.length
        shift = np.tile(path.start, 2)
        assert np.abs(box - shift - shape.bounds).max() < 1.1e-5
