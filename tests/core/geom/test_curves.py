from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import BSpline

from kerfproof.geom.curves import BSplineCurve, EllipseCurve


@given(st.integers(0, 10_000))
def test_a_spline_has_the_points_and_derivatives_that_scipy_finds(seed: int) -> None:
    rng = np.random.default_rng(seed)
    degree = int(rng.integers(1, 6))
    inner = int(rng.integers(0, 7))
    knots = np.concatenate([np.zeros(degree + 1), np.sort(rng.uniform(0, 1, inner)), np.ones(degree + 1)])
    control = rng.normal(0, 50, (degree + 1 + inner, 2))
    curve = BSplineCurve.of(control, knots, degree)
    t = rng.uniform(0.001, 0.999, 40)
    points, rates = curve.at(t)
    reference = BSpline(knots, control, degree)
    assert np.allclose(points, reference(t), atol=1e-9)
    assert np.allclose(rates, reference.derivative()(t), atol=1e-6)


def test_an_unclamped_spline_runs_over_its_inner_knots_only() -> None:
    curve = BSplineCurve.of([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], range(9), 3)
    assert curve.breaks.tolist() == [3, 4, 5]


def test_a_rational_quadratic_with_published_weights_is_a_quarter_circle() -> None:
    # Weights 1, 0.70710678, 1 (standard result, from memory).
    curve = BSplineCurve.of([(1, 0), (1, 1), (0, 1)], [0, 0, 0, 1, 1, 1], 2, [1, np.sqrt(0.5), 1])
    points, rates = curve.at(np.linspace(0, 1, 50))
    assert np.allclose(np.hypot(*points.T), 1.0, atol=1e-12)
    assert np.allclose((points * rates).sum(axis=1), 0.0, atol=1e-12)


@pytest.mark.parametrize(
    ("control", "knots", "degree", "weights", "why"),
    [
        ([(0, 0), (1, 0)], [0, 0, 0, 1, 1, 1], 2, None, "too few"),
        ([(0, 0), (1, 0), (2, 0)], [0, 0, 1, 1], 2, None, "need 6 knots"),
        ([(0, 0), (1, 0), (2, 0)], [0, 0, 1, 0.5, 1, 1], 2, None, "do not rise"),
        ([(0, 0), (1, 0), (2, 0)], [0, 0, 0, 0, 0, 0], 2, None, "do not rise"),
        ([(0, 0), (np.nan, 0), (2, 0)], [0, 0, 0, 1, 1, 1], 2, None, "not finite"),
        ([(0, 0), (1, 0), (2, 0)], [0, 0, 0, 1, 1, 1], 2, [1, 0, 1], "weight"),
    ],
)
def test_numbers_that_make_no_spline_are_refused_with_the_reason(
    control: list[tuple[float, float]], knots: list[float], degree: int, weights: list[float] | None, why: str
) -> None:
    with pytest.raises(ValueError, match=why):
        BSplineCurve.of(control, knots, degree, weights)


def test_an_ellipse_follows_its_parameter_either_way() -> None:
    curve = EllipseCurve(np.array([1.0, 2.0]), np.array([4.0, 0.0]), np.array([0.0, 3.0]), np.pi / 2, 0.0)
    points, rates = curve.at(np.array([0.0, 1.0]))
    assert np.allclose(points, [(1, 5), (5, 2)])
    assert np.allclose(rates / np.hypot(*rates.T)[:, None], [(1, 0), (0, -1)])
