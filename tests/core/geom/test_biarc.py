from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely

from kerfproof.geom.biarc import biarc
from support.drawings.curves import points_of


def _worst(a: float, b: float, pieces: int) -> float:
    """Return the greatest distance of a quarter ellipse from its biarcs, in plain numpy."""
    t = np.linspace(0, np.pi / 2, pieces + 1)
    worst = 0.0
    for t0, t1 in pairwise(t):
        ends = [np.array([a * np.cos(x), b * np.sin(x)]) for x in (t0, t1)]
        ways = [np.array([-a * np.sin(x), b * np.cos(x)]) for x in (t0, t1)]
        ways = [w / np.hypot(*w) for w in ways]
        v = biarc(ends[0], ways[0], ends[1], ways[1])
        assert v is not None
        fitted = shapely.LineString(np.vstack([points_of(v[k, :2], v[k + 1, :2], v[k, 2], 2_000) for k in (0, 1)]))
        x = np.linspace(t0, t1, 200)
        drawn = shapely.points(np.column_stack([a * np.cos(x), b * np.sin(x)]))
        worst = max(worst, float(shapely.distance(drawn, fitted).max()))
    return worst


@pytest.mark.parametrize(("pieces", "error"), [(4, 1.914e-2), (8, 1.938e-3), (16, 2.196e-4)])
def test_the_error_of_a_quarter_ellipse_falls_as_for_equal_tangents(pieces: int, error: float) -> None:
    # 50 x 30 in 4, 8, 16 pieces: computed apart from this code; order three after Meek and Walton 1995.
    assert _worst(50, 30, pieces) == pytest.approx(error, rel=0.03)


def test_both_arcs_meet_each_other_and_the_given_directions_without_a_corner() -> None:
    p0, t0 = np.array([0.0, 0.0]), np.array([0.0, 1.0])
    p1, t1 = np.array([10.0, 2.0]), np.array([0.6, -0.8])
    v = biarc(p0, t0, p1, t1)
    assert v is not None
    first, second = (points_of(v[k, :2], v[k + 1, :2], v[k, 2], 100_001) for k in (0, 1))

    def way(p: np.ndarray, q: np.ndarray) -> np.ndarray:
        return (q - p) / np.hypot(*(q - p))

    assert np.allclose(way(first[0], first[1]), t0, atol=1e-4)
    assert np.allclose(way(first[-2], first[-1]), way(second[0], second[1]), atol=1e-4)
    assert np.allclose(way(second[-2], second[-1]), t1, atol=1e-4)


def test_a_pair_of_one_circle_is_that_circle_and_of_one_line_that_line() -> None:
    v = biarc(np.array([5.0, 0.0]), np.array([0.0, 1.0]), np.array([0.0, 5.0]), np.array([-1.0, 0.0]))
    assert v is not None
    assert np.hypot(*v[1, :2]) == pytest.approx(5)
    assert v[0, 2] == pytest.approx(v[1, 2])
    straight = biarc(np.array([0.0, 0.0]), np.array([1.0, 0.0]), np.array([8.0, 0.0]), np.array([1.0, 0.0]))
    assert straight is not None
    assert np.allclose(straight, [(0, 0, 0), (4, 0, 0), (8, 0, 0)])


def test_there_is_no_pair_that_turns_back() -> None:
    assert biarc(np.array([0.0, 0.0]), np.array([-1.0, 0.0]), np.array([8.0, 0.0]), np.array([-1.0, 0.0])) is None
