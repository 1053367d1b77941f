"""Entities' own curves brought into mm: bulged chains, arcs and circles, evenly scaled or not."""

from __future__ import annotations

import math

import numpy as np

from kerfproof.drawing.dxf.entity import DrawnShape, NotCut
from kerfproof.drawing.dxf.frame import Plane
from kerfproof.geom.curves import Curve, EllipseCurve
from kerfproof.geom.fit import NoLength, fit_curve
from kerfproof.geom.path import Bools, Floats, Path

SHORTEST = 1e-7
"""A segment not longer than this (mm) is none."""

ABSURD = 1e12
"""No number of a drawing is larger, in whatever unit."""

FLATTEST = 1e-6
"""An arc that bows less than this (mm) is a line."""


def fitted(curve: Curve) -> DrawnShape:
    """Return a curve (in mm) as lines and arcs.

    Raises
    ------
    NotCut
        If it has no length.
    ValueError
        If the curve can't be followed.
    """
    try:
        found = fit_curve(curve)
    except NoLength:
        raise NotCut("it has no length") from None
    return DrawnShape(found.path, None, found.error, found.samples)


def circle(plane: Plane, center: tuple[float, float], radius: float) -> DrawnShape:
    """Return a full circle of the plane; on an uneven plane it is an ellipse."""
    _check_radius(plane, radius)
    if plane.even:
        (x, y), r = plane.at(*center), radius * plane.scale
        if not math.isfinite(x + y):
            raise ValueError("a number of it is not finite")
        return DrawnShape(Path.trusted(np.array([(x + r, y, 1.0), (x - r, y, 1.0)]), True))
    return fitted(_ellipse(plane, center, radius, 0.0, 2 * np.pi))


def arc(plane: Plane, center: tuple[float, float], radius: float, start: float, sweep: float) -> DrawnShape:
    """Return an arc of the plane, from angle `start` over `sweep`, both in radians."""
    _check_radius(plane, radius)
    if radius * plane.scale * abs(sweep) <= SHORTEST:
        raise NotCut("it has no length")
    if not plane.even:
        return fitted(_ellipse(plane, center, radius, start, start + sweep))
    pieces = max(1, math.ceil(abs(sweep) / math.pi - 1e-9))
    bulge = max(-1.0, min(1.0, math.tan(sweep / pieces / 4))) * (-1.0 if plane.mirrored else 1.0)
    rows = []
    for k in range(pieces + 1):
        angle = start + sweep * k / pieces
        x, y = plane.at(center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle))
        rows.append((x, y, bulge))
    vertices = np.array(rows)
    (x0, y0, _), (x1, y1, _) = rows[:2]
    chord = math.hypot(x1 - x0, y1 - y0)
    if not math.isfinite(chord):
        raise ValueError("a number of it is not finite")
    if chord <= SHORTEST or abs(bulge) * chord / 2 < FLATTEST:
        return DrawnShape(chain(vertices, False))
    vertices[-1, 2] = 0.0
    return DrawnShape(Path.trusted(vertices, False))


def _check_radius(plane: Plane, radius: float) -> None:
    if not math.isfinite(radius) or radius < 0:
        raise ValueError(f"its radius is {radius:g}")
    if radius * plane.scale <= SHORTEST:
        raise NotCut("it has no size")


def _ellipse(plane: Plane, center: tuple[float, float], radius: float, start: float, end: float) -> EllipseCurve:
    major, minor = plane.linear[:, 0] * radius, plane.linear[:, 1] * radius
    return EllipseCurve(plane.points([center])[0], major, minor, start, end)


def polyline(plane: Plane, own: Floats, closed: bool) -> DrawnShape:
    """Return a bulged chain of the plane; `own` (n, 3) are x, y and bulge, of any size.

    Raises
    ------
    NotCut
        If it has no length.
    ValueError
        If a number is not finite.
    """
    if not (np.abs(own) <= ABSURD).all():
        raise ValueError("a number of it is not finite or absurdly large")
    if not len(own):
        raise NotCut("it has no vertices")
    if plane.even or not own[:, 2].any():
        bulge = own[:, 2] * (-1.0 if plane.mirrored else 1.0)
        return DrawnShape(chain(np.column_stack([plane.points(own[:, :2]), bulge]), closed))
    return _bent(plane, chain(own, closed))


def chain(vertices: Floats, closed: bool) -> Path:
    """Return the path of bulged vertices (n, 3) in mm, cleaned of what a path can't hold.

    Segments without length go, arcs beyond a half circle are split, arcs that hardly bow become lines. A chain that
    ends where it began is closed.

    Raises
    ------
    NotCut
        If it has no length.
    ValueError
        If a number is not finite or absurdly large.
    """
    if not (np.abs(vertices) <= ABSURD).all():
        raise ValueError("a number of it is not finite or absurdly large")
    v = vertices[_moving(vertices)]
    if len(v) and np.abs(v[0, :2] - v[-1, :2]).max() <= SHORTEST and len(v) > 1:
        v, closed = v[:-1], True
    if len(v) < 2:
        raise NotCut("it has no length")
    if closed and len(v) == 2 and not v[:, 2].any():
        closed = False  # there and back on the same line
    following = np.concatenate([v[1:, :2], v[:1, :2]])
    steps = np.hypot(following[:, 0] - v[:, 0], following[:, 1] - v[:, 1])
    v[np.abs(v[:, 2]) * steps / 2 < FLATTEST, 2] = 0.0
    if not closed:
        v[-1, 2] = 0.0
    return Path(_split(v), closed)


def _moving(v: Floats) -> Bools:
    """Return which vertices to keep: of each run of equal ones the last, whose bulge counts; the very end always."""
    keep = np.ones(len(v), dtype=np.bool_)
    steps = np.abs(v[1:, :2] - v[:-1, :2])
    np.greater(np.maximum(steps[:, 0], steps[:, 1]), SHORTEST, out=keep[:-1])
    return keep


def _split(v: Floats) -> Floats:
    """Return the vertices with arcs beyond a half circle halved."""
    wide = np.abs(v[:, 2]) > 1.0
    if not wide.any():
        return v
    at = np.flatnonzero(wide)
    p, q = v[at, :2], np.roll(v[:, :2], -1, axis=0)[at]
    chord, b = q - p, v[at, 2]
    apex = (p + q) / 2 + b[:, None] / 2 * np.column_stack([chord[:, 1], -chord[:, 0]])
    half = np.tan(np.arctan(b) / 2)
    halved = v.copy()
    halved[at, 2] = half
    return np.insert(halved, at + 1, np.column_stack([apex, half]), axis=0)


def _bent(plane: Plane, path: Path) -> DrawnShape:
    """Return the uneven image of a path: its lines stay lines, its arcs become pieces of ellipses."""
    s = path.segments()
    rows: list[Floats] = []
    samples: list[Floats] = []
    worst = 0.0
    for i in range(len(s)):
        p = plane.points(s.p0[i : i + 1])
        if not s.is_arc[i]:
            rows.append(np.column_stack([p, [0.0]]))
            continue
        start, sweep = float(s.start_angle[i]), float(s.sweep[i])
        found = fit_curve(_ellipse(plane, s.center[i].tolist(), float(s.radius[i]), start, start + sweep))
        worst = max(worst, found.error)
        samples.append(found.samples)
        rows.append(found.path.vertices[:-1])
    if not path.closed:
        rows.append(np.column_stack([plane.points(path.vertices[-1:, :2]), [0.0]]))
    return DrawnShape(chain(np.vstack(rows), path.closed), None, worst, np.vstack(samples) if samples else None)
