"""The fast way alone: it takes nearly all curves at a small distance, and what it takes is right."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from kerfproof.geom.offset.fast import fast_offset
from kerfproof.geom.path import Bundle, Path
from support.drawings.curves import curves, polygon


@pytest.mark.parametrize(("distance", "share"), [(0.75, 0.75), (-0.75, 0.8), (-3.0, 0.45)])
def test_most_random_curves_are_taken_and_those_that_stay_simple_are_right(distance: float, share: float) -> None:
    paths = curves(50000, 150)
    found, whole = fast_offset(Bundle.of(paths), np.full(150, distance), False)
    assert whole.mean() > share
    right = 0
    for k in np.flatnonzero(whole):
        ring, shape = polygon(found.path(int(k))), polygon(paths[k])
        if not ring.is_valid or ring.exterior.is_ccw != shape.exterior.is_ccw:
            continue
        sign = 1 if shape.exterior.is_ccw else -1
        quarters = math.ceil(math.pi / 4 / math.acos(1 - 1e-3 / abs(distance))) + 1
        expected = shape.buffer(-sign * distance, quad_segs=quarters)
        assert shapely.symmetric_difference(ring, expected).area < 4e-3 * ring.length
        right += 1
    assert right >= 0.95 * whole.sum()


def test_a_path_with_an_eaten_side_is_declined_and_its_neighbour_is_not() -> None:
    paths = Bundle.of([Path.rectangle(0, 0, 20, 1), Path.rectangle(0, 0, 20, 10)])
    assert fast_offset(paths, np.array([0.75, 0.75]), False)[1].tolist() == [False, True]


def test_an_arc_turned_inside_out_is_declined() -> None:
    assert fast_offset(Bundle.of([Path.circle((0, 0), 0.5)]), np.array([0.75]), False)[1].tolist() == [False]
