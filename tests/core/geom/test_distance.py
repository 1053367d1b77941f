"""Distances in closed form against dense sampling in plain numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.geom.distance import closest_points, nearest, pair_distances, point_distances
from kerfproof.geom.path import Bundle, Path, Segments
from support.drawings.curves import loose_segments, points_of

COUNT = 601


def sampled(s: Segments, k: int) -> np.ndarray:
    return points_of(s.p0[k], s.p1[k], float(s.bulge[k]), COUNT)


def sampled_distance(a: Segments, i: int, b: Segments, j: int) -> tuple[float, float]:
    """Return the least distance between samples and the most it can be too large by."""
    p, q = sampled(a, i), sampled(b, j)
    away = np.hypot(p[:, None, 0] - q[None, :, 0], p[:, None, 1] - q[None, :, 1]).min()
    step = np.hypot(*np.diff(p, axis=0).T).max() + np.hypot(*np.diff(q, axis=0).T).max()
    return float(away), float(step) / 2


@given(st.integers(0, 10**6))
def test_distance_of_segments_is_that_of_dense_samples(seed: int) -> None:
    a, b = loose_segments(seed, 3), loose_segments(seed + 1, 3)
    i, j = np.repeat(np.arange(3), 3), np.tile(np.arange(3), 3)
    exact = pair_distances(a, i, b, j)
    for k in (0, 4, 8):
        coarse, slack = sampled_distance(a, int(i[k]), b, int(j[k]))
        assert exact[k] - 1e-9 <= coarse <= exact[k] + slack


def test_distance_does_not_depend_on_which_comes_first_or_way_round() -> None:
    a, b = loose_segments(5, 200), loose_segments(6, 200)
    k = np.arange(200)
    back = Segments.between(a.p1, a.p0, -a.bulge)
    expected = pair_distances(a, k, b, k)
    assert np.allclose(pair_distances(b, k, a, k), expected, atol=1e-12)
    assert np.allclose(pair_distances(back, k, b, k), expected, atol=1e-9)
    assert (expected == 0).sum() > 5 and (expected > 0.1).sum() > 50


LINE = ([0.0, 0.0], [10.0, 0.0], 0.0)
HALF = ([0.0, 0.0], [10.0, 0.0], 1.0)  # from (0, 0) through (5, -5), radius 5 round (5, 0)


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        (LINE, ([5.0, -5.0], [5.0, 5.0], 0.0), 0.0),
        (LINE, ([0.0, 3.0], [10.0, 3.0], 0.0), 3.0),
        (LINE, ([13.0, 4.0], [13.0, 9.0], 0.0), 5.0),
        (LINE, ([2.0, 10.0], [8.0, 10.0], 1.0), 7.0),
        (LINE, ([2.0, 2.0], [8.0, 2.0], 1.0), 0.0),
        (LINE, ([2.0, 10.0], [8.0, 10.0], -1.0), 10.0),
        (HALF, ([-5.0, -7.0], [15.0, -7.0], 0.0), 2.0),
        (HALF, ([2.0, 0.0], [8.0, 0.0], 1.0), 2.0),
        (HALF, ([2.0, -20.0], [8.0, -20.0], -1.0), 12.0),
        (HALF, ([0.0, 0.0], [10.0, 0.0], -1.0), 0.0),
        (HALF, ([5.0, 0.0], [5.0, 3.0], 0.0), 5.0),
    ],
)
def test_distances_known_from_the_drawing(first: tuple, second: tuple, expected: float) -> None:
    a, b = (Segments.between(np.array([s[0]]), np.array([s[1]]), np.array([s[2]])) for s in (first, second))
    zero = np.array([0])
    assert pair_distances(a, zero, b, zero)[0] == pytest.approx(expected, abs=1e-12)


def test_a_nearly_straight_arc_loses_no_digits() -> None:
    a = Segments.between(np.array([[0.0, 0.0]]), np.array([[1000.0, 0.0]]), np.array([1e-11]))
    b = Segments.between(np.array([[0.0, 2.0]]), np.array([[1000.0, 2.0]]), np.array([-3e-10]))
    assert pair_distances(a, np.array([0]), b, np.array([0]))[0] == pytest.approx(2.0, abs=1e-6)


def test_closest_point_is_on_the_segment_at_the_distance() -> None:
    s = loose_segments(7, 150)
    points = np.random.default_rng(1).uniform(-3, 13, (150, 2))
    k = np.arange(150)
    away = point_distances(points, s, k)
    foot = closest_points(points, s, k)
    assert np.allclose(np.hypot(*(foot - points).T), away, atol=1e-9)
    for i in range(150):
        samples = sampled(s, i)
        step = np.hypot(*np.diff(samples, axis=0).T).max()
        assert np.hypot(*(samples - foot[i]).T).min() <= step
        assert away[i] - 1e-9 <= np.hypot(*(samples - points[i]).T).min() <= away[i] + step / 2


@pytest.mark.parametrize("reach", [0.4, 3.0, np.inf])
def test_nearest_is_the_least_of_all(reach: float) -> None:
    s = loose_segments(8, 120)
    points = np.random.default_rng(2).uniform(-10, 20, (300, 2))
    every = np.array([point_distances(points, s, np.full(300, k)) for k in range(120)])
    distance, number = nearest(points, s, reach)
    within = every.min(axis=0) <= reach
    assert np.array_equal(number, np.where(within, every.argmin(axis=0), -1))
    assert np.allclose(distance[within], every.min(axis=0)[within], atol=1e-12)
    assert np.isinf(distance[~within]).all()
    assert within.sum() > 3


def test_of_equally_near_segments_the_first_counts() -> None:
    s = Bundle.of([Path.rectangle(0, 0, 2, 2), Path.rectangle(0, 0, 2, 2)]).segments()
    assert nearest(np.array([[1.0, 1.0]]), s, 5.0)[1].tolist() == [0]


def test_nearest_of_nothing_is_nothing() -> None:
    distance, number = nearest(np.zeros((2, 2)), Bundle.of([]).segments(), 1.0)
    assert number.tolist() == [-1, -1] and np.isinf(distance).all()
