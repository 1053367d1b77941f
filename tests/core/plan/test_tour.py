"""Tour quality, against the shortest tours of TSPLIB and those that geometry gives (see ``tour_points``)."""

from __future__ import annotations

import math
from itertools import permutations

import numpy as np
import pytest

from kerfproof.plan.order.order import closed_tour, open_tour
from support.referees.tour_points import GLOBE, PLANE, points_of


def radians(value: float) -> float:
    degrees = math.trunc(value)
    return 3.141592 * (degrees + 5 * (value - degrees) / 3) / 180


def geo_length(points: np.ndarray, tour: np.ndarray) -> int:
    total = 0
    for a, b in zip(tour, np.roll(tour, -1), strict=True):
        (lat_a, lon_a), (lat_b, lon_b) = ([radians(v) for v in points[k]] for k in (a, b))
        q1, q2, q3 = math.cos(lon_a - lon_b), math.cos(lat_a - lat_b), math.cos(lat_a + lat_b)
        total += int(6378.388 * math.acos(0.5 * ((1 + q1) * q2 - (1 - q1) * q3)) + 1)
    return total


def on_globe(points: np.ndarray) -> np.ndarray:
    lat, lon = (np.array([radians(v) for v in column]) for column in points.T)
    return np.column_stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])


def closed_length(points: np.ndarray, tour: np.ndarray) -> float:
    return float(np.hypot(*(points[tour] - points[np.roll(tour, -1)]).T).sum())


def open_length(points: np.ndarray, tour: np.ndarray, start: tuple[float, float]) -> float:
    return float(np.hypot(*np.diff(np.vstack([[start], points[tour]]), axis=0).T).sum())


@pytest.mark.parametrize("name", GLOBE)
def test_tours_on_the_globe_are_within_two_percent_of_the_best(name: str) -> None:
    points, best = points_of(GLOBE[name][0]), GLOBE[name][1]
    tour = closed_tour(on_globe(points))
    assert sorted(tour.tolist()) == list(range(len(points)))
    assert best <= geo_length(points, tour) <= 1.02 * best


@pytest.mark.parametrize("name", PLANE)
def test_tours_in_the_plane_are_within_two_percent_of_the_best(name: str) -> None:
    points, best = points_of(PLANE[name][0]), PLANE[name][1]
    tour = closed_tour(points)
    steps = np.hypot(*(points[tour] - points[np.roll(tour, -1)]).T)
    assert sorted(tour.tolist()) == list(range(len(points)))
    assert best <= np.rint(steps).sum() <= 1.02 * best


@pytest.mark.parametrize("count", [20, 60])
def test_points_on_an_ellipse_are_toured_along_their_hull(count: int) -> None:
    angles = np.sort(np.random.default_rng(count).uniform(0, 2 * math.pi, count))
    hull = np.column_stack([300 * np.cos(angles), 40 * np.sin(angles)])
    shuffled = hull[np.random.default_rng(1).permutation(count)]
    assert closed_length(shuffled, closed_tour(shuffled)) == pytest.approx(closed_length(hull, np.arange(count)))


def test_points_in_convex_position_are_toured_along_their_hull() -> None:
    angles = 2 * math.pi * np.array([3, 7, 0, 10, 5, 1, 8, 2, 11, 6, 4, 9]) / 12
    points = 100 * np.column_stack([np.cos(angles), np.sin(angles)])
    assert closed_length(points, closed_tour(points)) == pytest.approx(621.165708, abs=1e-6)  # 24 R sin 15 deg


@pytest.mark.parametrize(
    ("m", "n", "best"), [(4, 5, 20.0), (6, 6, 36.0), (7, 8, 56.0), (3, 3, 8 + math.sqrt(2)), (5, 7, 34 + math.sqrt(2))]
)
def test_grids_are_toured_without_a_diagonal_where_that_can_be(m: int, n: int, best: float) -> None:
    points = np.array([(x, y) for x in range(m) for y in range(n)], dtype=float)
    assert closed_length(points, closed_tour(points)) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(6))
def test_open_ways_through_few_points_are_the_shortest_of_all(seed: int) -> None:
    points = np.random.default_rng(seed).random((7, 2)) * 100
    tour = open_tour(points, (0.0, 0.0))
    best = min(open_length(points, np.array(p), (0.0, 0.0)) for p in permutations(range(7)))
    assert open_length(points, tour, (0.0, 0.0)) == pytest.approx(best)


def test_a_fixed_end_is_honoured() -> None:
    points = np.array([(30.0, 0.0), (10.0, 0.0), (20.0, 0.0)])
    assert open_tour(points, (0.0, 0.0), (40.0, 0.0)).tolist() == [1, 2, 0]
    assert open_tour(points, (40.0, 0.0), (0.0, 0.0)).tolist() == [0, 2, 1]


def test_kicks_shorten_and_every_run_is_the_same() -> None:
    points = np.random.default_rng(11).random((200, 2)) * 1000
    plain, kicked = open_tour(points, (0.0, 0.0), kicks=0), open_tour(points, (0.0, 0.0))
    assert sorted(kicked.tolist()) == list(range(200))
    assert open_length(points, kicked, (0, 0)) < open_length(points, plain, (0, 0))
    assert kicked.tolist() == open_tour(points, (0.0, 0.0)).tolist()


def test_none_one_and_equal_points_are_no_trouble() -> None:
    assert open_tour(np.empty((0, 2)), (0.0, 0.0)).tolist() == []
    assert open_tour(np.array([(5.0, 5.0)]), (0.0, 0.0)).tolist() == [0]
    assert closed_tour(np.array([(5.0, 5.0), (6.0, 6.0)])).tolist() == [0, 1]
    assert sorted(open_tour(np.zeros((9, 2)), (0.0, 0.0)).tolist()) == list(range(9))
