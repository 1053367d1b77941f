"""Tour quality. Coordinates and optima: TSPLIB (burma14 3323 and ulysses16 6859 by GEO rule, berlin52 7542)."""

from __future__ import annotations

import math
from itertools import permutations

import numpy as np
import pytest

from kerfproof.toolpath.order import closed_tour, open_tour

BURMA = """16.47 96.10; 16.47 94.44; 20.09 92.54; 22.39 93.37; 25.23 97.24; 22.00 96.05; 20.47 97.02; 17.20 96.29;
16.30 97.38; 14.05 98.12; 16.53 97.38; 21.52 95.59; 19.41 97.13; 20.09 94.55"""
ULYSSES = """38.24 20.42; 39.57 26.15; 40.56 25.32; 36.26 23.12; 33.48 10.54; 37.56 12.19; 38.42 13.11; 37.52 20.44;
41.23 9.10; 41.17 13.05; 36.08 -5.21; 38.47 15.13; 38.15 15.35; 37.51 15.17; 35.49 14.32; 39.36 19.56"""
BERLIN = """565 575; 25 185; 345 750; 945 685; 845 655; 880 660; 25 230; 525 1000; 580 1175; 650 1130; 1605 620;
1220 580; 1465 200; 1530 5; 845 680; 725 370; 145 665; 415 635; 510 875; 560 365; 300 465; 520 585; 480 415; 835 625;
975 580; 1215 245; 1320 315; 1250 400; 660 180; 410 250; 420 555; 575 665; 1150 1160; 700 580; 685 595; 685 610;
770 610; 795 645; 720 635; 760 650; 475 960; 95 260; 875 920; 700 500; 555 815; 830 485; 1170 65; 830 610; 605 625;
595 360; 1340 725; 1740 245"""


def rows(text: str) -> np.ndarray:
    return np.array([[float(word) for word in pair.split()] for pair in text.split(";")])


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


@pytest.mark.parametrize(("text", "best"), [(BURMA, 3323), (ULYSSES, 6859)])
def test_tours_on_the_globe_are_within_three_percent_of_the_best(text: str, best: int) -> None:
    points = rows(text)
    tour = closed_tour(on_globe(points))
    assert sorted(tour.tolist()) == list(range(len(points)))
    assert best <= geo_length(points, tour) <= 1.03 * best


def test_berlin52_is_within_three_percent_of_the_best() -> None:
    points = rows(BERLIN)
    tour = closed_tour(points)
    steps = np.hypot(*(points[tour] - points[np.roll(tour, -1)]).T)
    assert sorted(tour.tolist()) == list(range(52))
    assert 7542 <= np.rint(steps).sum() <= 1.03 * 7542


def test_points_in_convex_position_are_toured_along_their_hull() -> None:
    angles = 2 * math.pi * np.array([3, 7, 0, 10, 5, 1, 8, 2, 11, 6, 4, 9]) / 12
    points = 100 * np.column_stack([np.cos(angles), np.sin(angles)])
    assert closed_length(points, closed_tour(points)) == pytest.approx(621.165708, abs=1e-6)  # 24 R sin 15 deg


@pytest.mark.parametrize(("m", "n", "best"), [(4, 5, 20.0), (6, 6, 36.0), (3, 3, 8 + math.sqrt(2))])
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
