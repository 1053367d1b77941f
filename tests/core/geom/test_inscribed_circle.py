"""The largest circle inside, against closed forms and against shapely's search."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from kerfproof.geom.inscribed_circle import inscribed_circle, inscribed_radii, is_long
from kerfproof.geom.path import Bundle, Path


def turned(path: Path, angle: float, x: float, y: float) -> Path:
    c, s = math.cos(angle), math.sin(angle)
    return path.transformed([[c, -s], [s, c]], (x, y))


def stadium(width: float, length: float) -> Path:
    r, half = width / 2, length / 2
    return Path([(-half + r, -r, 0), (half - r, -r, 1), (half - r, r, 0), (-half + r, r, 1)], True)


def test_closed_forms() -> None:
    for angle in (0.0, 0.4, 2.0):
        assert inscribed_circle(turned(stadium(5, 50), angle, 300, 80))[1] == pytest.approx(2.5, abs=1e-6)
        assert inscribed_circle(turned(Path.rectangle(0, 0, 7, 90), angle, -40, 9))[1] == pytest.approx(3.5, abs=1e-6)
        assert inscribed_circle(turned(Path.circle((3, 4), 6), angle, 0, 0))[1] == pytest.approx(6, abs=1e-6)
    # A half disc of radius 6 holds a circle of half that; a dome of 5 over a 10 wide box one of 5.
    assert inscribed_circle(turned(Path([(-6, 0, 0), (6, 0, 1)], True), 0.8, 40, 2))[1] == pytest.approx(3, abs=1e-4)
    dome = Path([(-5, 0, 0), (5, 0, 0), (5, 8, 1), (-5, 8, 0)], True)
    assert inscribed_circle(turned(dome, 0.3, 4, 70))[1] == pytest.approx(5, abs=1e-6)
    # A 3-4-5 triangle: (a + b - c) / 2 = 1 from both legs (Euclid's incircle).
    middle, radius = inscribed_circle(Path.polyline([(0, 0), (4, 0), (0, 3)], closed=True))
    assert radius == pytest.approx(1, abs=1e-9) and middle.tolist() == pytest.approx([1, 1], abs=1e-6)


def test_ragged_shapes_against_the_search_of_shapely() -> None:
    rng = np.random.default_rng(5)
    compared = 0
    for _ in range(60):
        corners = int(rng.integers(3, 12))
        angles = np.sort(rng.uniform(0, 2 * np.pi, corners))
        if np.diff(np.append(angles, angles[0] + 2 * np.pi)).max() > 3:
            continue
        points = np.column_stack([np.cos(angles), np.sin(angles)]) * rng.uniform(3, 20, corners)[:, None]
        compared += 1
        found = inscribed_circle(Path.polyline(points, closed=True))[1]
        theirs = shapely.maximum_inscribed_circle(shapely.Polygon(points), 1e-3).length
        assert theirs - 1e-9 <= found <= theirs + 2e-3
    assert compared > 30


def test_alike_shapes_are_told_apart_from_others() -> None:
    kite = Path.polyline([(0, 0), (10, 0), (10, 4), (0, 8)], closed=True)
    other = Path.polyline([(0, 0), (10, 0), (12, 4), (0, 8)], closed=True)
    paths = [stadium(5, 50), turned(stadium(5, 50), 0.7, 20, 30), kite, other, turned(kite, 2.0, -5, 400)]
    found = inscribed_radii(Bundle.of(paths))
    assert found == pytest.approx([inscribed_circle(path)[1] for path in paths], abs=1e-6)
    assert abs(found[2] - found[3]) > 1e-3
    assert inscribed_radii(Bundle.of([])).shape == (0,)


def test_a_slot_is_long_from_twice_its_width() -> None:
    assert is_long(5, stadium(5, 10).area()) and is_long(5, -50)
    assert not is_long(5, 25) and not is_long(5, math.pi * 6.25) and not is_long(4.1, 4.1 * 5)
