"""Carriers: the endless lines and full circles that segments lie on, and where they meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerfproof.geom.path import Bools, Floats, Segments

FLAT_BULGE = 1e-8
"""Arcs flatter than this are taken as lines: their bow (5 nm per metre) is less than what their huge radius loses."""


def cross(a: Floats, b: Floats) -> Floats:
    """Return the z part of the cross products of vectors (k, 2)."""
    product: Floats = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def dot(a: Floats, b: Floats) -> Floats:
    """Return the dot products of vectors (k, 2)."""
    product: Floats = a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1]
    return product


def norm(a: Floats) -> Floats:
    """Return the lengths of vectors (k, 2); a tenth of the time of `numpy.hypot`, which sizes like ours don't need."""
    length: Floats = np.sqrt(dot(a, a))
    return length


def turned_left(a: Floats) -> Floats:
    """Return vectors (k, 2) turned a quarter to the left."""
    return np.column_stack([-a[:, 1], a[:, 0]])


def bowed(s: Segments) -> Bools:
    """Return which segments are arcs for all purposes of measuring (m,)."""
    return np.asarray(np.abs(s.bulge) >= FLAT_BULGE)


@dataclass(frozen=True, slots=True, eq=False)
class Carriers:
    """Lines through `point` (m, 2) along unit `direction` (m, 2), or circles round `point` with `radius` (m,).

    `is_arc` (m,) says which; the radius of a line is infinite.
    """

    point: Floats
    direction: Floats
    radius: Floats
    is_arc: Bools

    @staticmethod
    def of(s: Segments) -> Carriers:
        """Return the carriers of segments."""
        arc = bowed(s)
        chord = s.p1 - s.p0
        return Carriers(
            np.where(arc[:, None], s.center, s.p0), chord / norm(chord)[:, None], np.where(arc, s.radius, np.inf), arc
        )

    def take(self, which: NDArray[Any]) -> Carriers:
        """Return the carriers picked by an index or a mask."""
        rows = np.flatnonzero(which) if which.dtype == np.bool_ else which
        return Carriers(
            self.point.take(rows, axis=0), self.direction.take(rows, axis=0), self.radius[rows], self.is_arc[rows]
        )


def carrier_meetings(a: Carriers, b: Carriers) -> tuple[Floats, Floats]:
    """Return where carriers meet, pair by pair: points (k, 2, 2) and depth (k,).

    Two rows per pair, nan where there is none (parallel lines have none, other lines the same point twice).
    `depth` is how far a circle reaches across the other carrier, about 0 when they are tangent, below 0 when
    apart; infinite for two lines. Circles with one centre have no points and depth minus the gap.
    """
    points = np.full((len(a.radius), 2, 2), np.nan)
    depth = np.full(len(a.radius), np.inf)
    lines = ~a.is_arc & ~b.is_arc
    points[lines] = _lines_meet(a.take(lines), b.take(lines))
    for mask, line, circle in ((~a.is_arc & b.is_arc, a, b), (a.is_arc & ~b.is_arc, b, a)):
        points[mask], depth[mask] = _line_meets_circle(line.take(mask), circle.take(mask))
    circles = a.is_arc & b.is_arc
    points[circles], depth[circles] = _circles_meet(a.take(circles), b.take(circles))
    return points, depth


def _lines_meet(a: Carriers, b: Carriers) -> Floats:
    between = cross(a.direction, b.direction)
    parallel = np.abs(between) < 1e-14
    along = cross(b.point - a.point, b.direction) / np.where(parallel, 1.0, between)
    points = a.point + np.where(parallel, np.nan, along)[:, None] * a.direction
    return np.stack([points, points], axis=1)


def _line_meets_circle(line: Carriers, circle: Carriers) -> tuple[Floats, Floats]:
    towards = circle.point - line.point
    foot = line.point + dot(towards, line.direction)[:, None] * line.direction
    away = np.abs(cross(line.direction, towards))
    depth = circle.radius - away
    half = np.sqrt(np.where(depth >= 0, depth * (circle.radius + away), np.nan))
    step = half[:, None] * line.direction
    return np.stack([foot - step, foot + step], axis=1), depth


def _circles_meet(a: Carriers, b: Carriers) -> tuple[Floats, Floats]:
    towards = b.point - a.point
    away = norm(towards)
    apart = np.where(away > 0, away, 1.0)
    unit = towards / apart[:, None]
    depth = np.minimum(a.radius + b.radius - away, away - np.abs(a.radius - b.radius))
    along = (away + (a.radius - b.radius) * (a.radius + b.radius) / apart) / 2
    square = (a.radius - along) * (a.radius + along)
    half = np.sqrt(np.where((depth >= 0) & (away > 0), np.maximum(square, 0.0), np.nan))
    foot = a.point + along[:, None] * unit
    step = half[:, None] * turned_left(unit)
    return np.stack([foot - step, foot + step], axis=1), depth
