"""Smooth curves that are no lines and arcs: pieces of ellipses and B-splines.

A curve gives points and derivatives over a parameter; `breaks` are the parameters between which it is smooth.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from kerfproof.geom.path import Floats, Ints


class Curve(Protocol):
    """A plane curve over a parameter."""

    @property
    def breaks(self) -> Floats:
        """Ascending parameters: both ends, and in between where corners or jumps of curvature may lie."""

    def at(self, t: Floats) -> tuple[Floats, Floats]:
        """Return points (k, 2) and derivatives (k, 2) at parameters (k,)."""


@dataclass(frozen=True, slots=True, eq=False)
class EllipseCurve:
    """center + cos(t) major + sin(t) minor for t from `start` to `end` (radians, `end` may be the smaller).

    `major` and `minor` need not be perpendicular: any even or uneven image of a circle is such a curve.
    """

    center: Floats
    major: Floats
    minor: Floats
    start: float
    end: float

    @property
    def breaks(self) -> Floats:
        """The ends as shares, 0 and 1, with quarter turns between."""
        quarters = max(1, int(np.ceil(abs(self.end - self.start) / (np.pi / 2) - 1e-9)))
        return np.linspace(0.0, 1.0, quarters + 1)

    def at(self, t: Floats) -> tuple[Floats, Floats]:
        """Return points and derivatives at shares `t` of the way."""
        angle = (self.start + (self.end - self.start) * t)[:, None]
        c, s = np.cos(angle), np.sin(angle)
        points = self.center + c * self.major + s * self.minor
        return points, (self.end - self.start) * (c * self.minor - s * self.major)


@dataclass(frozen=True, slots=True, eq=False)
class BSplineCurve:
    """A B-spline, rational where `weights` differ.

    `control` (n, 2), `knots` (n + degree + 1,) not falling, `weights` (n,) positive.
    """

    control: Floats
    knots: Floats
    weights: Floats
    degree: int

    @staticmethod
    def of(control: ArrayLike, knots: ArrayLike, degree: int, weights: ArrayLike | None = None) -> BSplineCurve:
        """Return the curve after checking that its numbers fit together.

        Raises
        ------
        ValueError
            If counts, order of knots or weights make no curve; the text says which.
        """
        points = np.asarray(control, dtype=np.float64)
        u = np.asarray(knots, dtype=np.float64)
        w = np.ones(len(points)) if weights is None else np.asarray(weights, dtype=np.float64)
        if degree < 1 or len(points) < degree + 1:
            raise ValueError(f"{len(points)} control points are too few for degree {degree}")
        if len(u) != len(points) + degree + 1:
            raise ValueError(f"{len(points)} control points of degree {degree} need {len(points) + degree + 1} knots")
        if not (np.isfinite(points).all() and np.isfinite(u).all() and np.isfinite(w).all()):
            raise ValueError("a number is not finite")
        if (np.diff(u) < 0).any() or u[degree] >= u[len(points)]:
            raise ValueError("the knots do not rise")
        if len(w) != len(points) or (w <= 0).any():
            raise ValueError("each control point needs a weight above zero")
        return BSplineCurve(points, u, w, int(degree))

    @property
    def breaks(self) -> Floats:
        """The different knots of the curve's range."""
        inside = self.knots[self.degree : len(self.control) + 1]
        steps = np.diff(inside, prepend=inside[0] - 1.0)
        found: Floats = inside[steps > 1e-12 * max(1.0, float(inside[-1] - inside[0]))]
        found[-1] = inside[-1]
        return found

    def at(self, t: Floats) -> tuple[Floats, Floats]:
        """Return points and derivatives at knots' parameters `t`."""
        n, p, u = len(self.control), self.degree, self.knots
        flat = np.column_stack([self.control * self.weights[:, None], self.weights])
        width = u[p + 1 : p + n] - u[1:n]
        slope = p * np.diff(flat, axis=0) / np.where(width > 0, width, np.inf)[:, None]
        span = np.clip(np.searchsorted(u, t, side="right") - 1, p, n - 1)
        value = _de_boor(flat, u, p, span, t)
        rate = _de_boor(slope, u[1:-1], p - 1, span - 1, t)
        points: Floats = value[:, :2] / value[:, 2:]
        return points, (rate[:, :2] - points * rate[:, 2:]) / value[:, 2:]


def _de_boor(control: Floats, knots: Floats, degree: int, span: Ints, t: Floats) -> Floats:
    """Return the spline's values at `t`, each in knot interval `span`, by de Boor's scheme on all at once."""
    rows = span[:, None] - degree + np.arange(degree + 1)
    d = control[rows]
    for level in range(1, degree + 1):
        left = knots[rows[:, level:]]
        right = knots[rows[:, level:] + degree + 1 - level]
        width = right - left
        share = ((t[:, None] - left) / np.where(width > 0, width, 1.0))[:, :, None]
        d = (1 - share) * d[:, :-1] + share * d[:, 1:]
    return np.asarray(d[:, 0])
