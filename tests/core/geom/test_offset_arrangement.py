"""The exact arrangement alone, on easy and hard curves, against shapely's buffer."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerfproof.geom.offset.arrangement import arranged_offset
from kerfproof.geom.path import Bundle, Path
from support.drawings.curves import curves, polygon


@pytest.mark.parametrize("distance", [0.75, -3.0, 3.0])
def test_loops_of_random_curves_enclose_what_shapely_says(distance: float) -> None:
    paths = curves(20000, 80)
    found = arranged_offset(Bundle.of(paths), np.full(len(paths), distance), False)
    compared = 0
    for path, loops in zip(paths, found, strict=True):
        assert loops is not None
        shape = polygon(path)
        sign = 1 if shape.exterior.is_ccw else -1
        quarters = math.ceil(math.pi / 4 / math.acos(1 - 1e-3 / abs(distance))) + 1
        expected = shape.buffer(-sign * distance, quad_segs=quarters)
        rings = [Path(loop, True) for loop in loops]
        length = sum(ring.length() for ring in rings)
        if expected.area > 1e-2 or length:
            compared += 1
            assert abs(sign * sum(ring.area() for ring in rings) - expected.area) <= 2e-3 * length + 1e-6
    assert compared > 40


def test_walls_exactly_two_distances_apart_leave_nothing_between_them() -> None:
    lower = [(0, 0), (10, 0), (10, 4), (20, 4), (20, 0), (30, 0)]
    upper = [(30, 10), (20, 10), (20, 5.5), (10, 5.5), (10, 10), (0, 10)]
    channel = Path.polyline([*lower, *upper], closed=True)
    (loops,) = arranged_offset(Bundle.of([channel]), np.array([0.75]), False)
    assert loops is not None and len(loops) == 2


def test_nothing_left_is_an_empty_answer_not_a_refusal() -> None:
    assert arranged_offset(Bundle.of([Path.rectangle(0, 0, 9, 1)]), np.array([0.75]), False) == [[]]
