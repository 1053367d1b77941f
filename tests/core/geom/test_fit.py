from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import BSpline

from kerfproof.geom.curves import BSplineCurve, EllipseCurve
from kerfproof.geom.fit import FIT_TOLERANCE, fit_curve
from kerfproof.geom.path import Path
from support.drawings.curves import points_of

HALF = np.sqrt(0.5)


def _ellipse(a: float, b: float, start: float = 0.0, end: float = 2 * np.pi) -> EllipseCurve:
    return EllipseCurve(np.zeros(2), np.array([a, 0.0]), np.array([0.0, b]), start, end)


def _line(path: Path) -> shapely.LineString:
    """Return the path as chords some 0.1 um from it."""
    v = path.vertices if not path.closed else np.vstack([path.vertices, path.vertices[:1]])
    chords = [points_of(p[:2], q[:2], p[2], 2 if p[2] == 0 else 100) for p, q in pairwise(v)]
    return shapely.LineString(np.vstack(chords))


def _kinks(path: Path) -> np.ndarray:
    """Return the turns (radians) between neighbouring segments, from the definition of the bulge."""
    v = path.vertices if not path.closed else np.vstack([path.vertices, path.vertices[:2]])
    chord = np.diff(v[:, :2], axis=0)
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    half = 2 * np.arctan(v[:-1, 2])
    turn = (heading - half)[1:] - (heading + half)[:-1]
    return np.abs((turn + np.pi) % (2 * np.pi) - np.pi)


@pytest.mark.parametrize(("a", "b", "perimeter"), [(2.0, 1.0, 9.688448), (50.0, 30.0, 255.269989)])
def test_an_ellipse_keeps_its_perimeter_area_and_smoothness(a: float, b: float, perimeter: float) -> None:
    # Perimeters: complete elliptic integral, computed apart from this code.
    found = fit_curve(_ellipse(a, b))
    assert found.path.closed
    assert found.error <= FIT_TOLERANCE
    assert found.path.length() == pytest.approx(perimeter, abs=0.02)
    assert found.path.area() == pytest.approx(np.pi * a * b, abs=perimeter * FIT_TOLERANCE)
    assert _kinks(found.path).max() < 1e-3
    t = np.linspace(0, 2 * np.pi, 5_000)
    points = shapely.points(np.column_stack([a * np.cos(t), b * np.sin(t)]))
    assert shapely.distance(points, _line(found.path)).max() <= FIT_TOLERANCE + 2e-4


def test_an_ellipse_needs_few_arcs() -> None:
    # Eight equal pairs of arcs on each quarter err by 1.9 um, four by 19 um; 5 um needs some six pairs.
    assert fit_curve(_ellipse(50, 30, 0, np.pi / 2)).path.n_segments <= 12


def test_a_thin_ellipse_is_no_line() -> None:
    assert fit_curve(_ellipse(100, 1)).path.area() == pytest.approx(100 * np.pi, abs=1)


def test_a_rational_spline_of_nine_points_is_the_exact_circle() -> None:
    square = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    curve = BSplineCurve.of(np.array(square) * 25.0 + 3, knots, 2, [1, HALF] * 4 + [1])
    found = fit_curve(curve)
    assert found.path.vertices == pytest.approx(np.array([(28, 3, 1), (-22, 3, 1)]), abs=1e-9)
    backward = BSplineCurve.of(np.array(square[::-1]) * 25.0, knots, 2, [1, HALF] * 4 + [1])
    assert fit_curve(backward).path.area() == pytest.approx(-625 * np.pi)


def test_a_cubic_quarter_circle_is_one_arc() -> None:
    # kappa 0.5522847498: the usual cubic, up to 2.73e-4 of the radius too far out.
    k = 0.5522847498 * 8
    found = fit_curve(BSplineCurve.of([(8, 0), (8, k), (k, 8), (0, 8)], [0] * 4 + [1] * 4, 3))
    assert found.path.n_segments == 1
    assert found.error < 0.0028
    assert found.path.vertices[0, 2] == pytest.approx(np.tan(np.pi / 8), rel=1e-3)


def test_a_straight_spline_is_one_line_to_the_last_bit() -> None:
    found = fit_curve(BSplineCurve.of([(0.1, 0.2), (3, 0.2), (7, 0.2), (9.3, 0.2)], [0] * 4 + [1] * 4, 3))
    assert found.path.vertices.tolist() == [[0.1, 0.2, 0.0], [9.3, 0.2, 0.0]]


def test_corners_of_a_spline_stay_to_the_last_bit() -> None:
    corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 0.0)]
    found = fit_curve(BSplineCurve.of(corners, [0, 0, 1, 2, 3, 3], 1))
    assert found.path.closed
    assert found.path.vertices.tolist() == [[0, 0, 0], [10, 0, 0], [10, 10, 0]]


def test_a_rounded_rectangle_in_one_spline_comes_back_as_lines_and_arcs() -> None:
    side = [(5, 0), (15, 0), (25, 0), (30, 0), (30, 5), (30, 10), (30, 15), (30, 20), (25, 20), (15, 20), (5, 20)]
    points = [*side, (0, 20), (0, 15), (0, 10), (0, 5), (0, 0), (5, 0)]
    weights = [1, 1, 1, HALF, 1, 1, 1, HALF, 1, 1, 1, HALF, 1, 1, 1, HALF, 1]
    knots = [0, 0, 0, *np.repeat(np.arange(1, 8), 2), 8, 8, 8]
    path = fit_curve(BSplineCurve.of(points, knots, 2, weights)).path
    assert path.n_segments == 8
    assert sorted(np.round(path.vertices[:, 2], 9)) == sorted([0.0] * 4 + [round(np.tan(np.pi / 8), 9)] * 4)
    assert path.area() == pytest.approx(600 - (4 - np.pi) * 25, abs=1e-6)


def test_a_spline_that_stands_still_at_its_end_is_read() -> None:
    # Files repeat the last control point so that the final span has no length.
    points = [(0, 0), (5, 8), (9, -3), (14, 2), (14, 2), (14, 2), (14, 2)]
    found = fit_curve(BSplineCurve.of(points, [0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2], 3))
    assert found.path.end.tolist() == [14, 2]
    assert found.error <= FIT_TOLERANCE


@given(st.integers(0, 10_000))
def test_any_smooth_spline_stays_within_five_micrometres_without_corners(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n = int(rng.integers(4, 10))
    control = np.column_stack([np.arange(n) * 12.0, rng.normal(0, 12, n)])
    knots = np.concatenate([[0] * 3, np.arange(n - 2), [n - 3] * 3]).astype(float)
    found = fit_curve(BSplineCurve.of(control, knots, 3))
    curve = BSpline(knots, control, 3)(np.linspace(0, n - 3, 400))
    away = shapely.distance(shapely.points(curve), _line(found.path))
    assert away.max() <= FIT_TOLERANCE + 3e-4
    assert _kinks(found.path).max(initial=0.0) < 1e-3
    assert found.path.length() == pytest.approx(shapely.LineString(curve).length, rel=1e-3)
    assert shapely.distance(shapely.points(found.samples), shapely.LineString(curve)).max() < 0.05


def test_a_curve_without_length_or_with_a_jump_is_refused() -> None:
    with pytest.raises(ValueError, match="no length"):
        fit_curve(BSplineCurve.of([(1, 1)] * 4, [0] * 4 + [1] * 4, 3))
    with pytest.raises(ValueError, match="jumps"):
        fit_curve(BSplineCurve.of([(0, 0), (1, 0), (5, 5), (6, 5)], [0, 0, 1, 1, 2, 2], 1))
