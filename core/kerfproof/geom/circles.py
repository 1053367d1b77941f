"""Lines, arcs and circles that pass best through points, and how far points lie from them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerfproof.geom.path import Floats

FLAT = 1e-5
"""An arc that bows less than this (mm) is a line."""


@dataclass(frozen=True, slots=True, eq=False)
class FoundArc:
    """An arc found among points: its vertices (n, 3), its circle, and the worst distance of the points from it."""

    vertices: Floats
    center: Floats
    radius: float
    error: float


def chord_distances(points: Floats, p0: Floats, p1: Floats) -> Floats:
    """Return the distances (k,) of `points` from the straight piece `p0` to `p1`."""
    chord = p1 - p0
    square = float(chord @ chord)
    if square == 0.0:
        return np.asarray(np.hypot(*(points - p0).T))
    share = np.clip((points - p0) @ chord / square, 0.0, 1.0)
    return np.asarray(np.hypot(*(points - p0 - share[:, None] * chord).T))


def arc_distances(points: Floats, p0: Floats, p1: Floats, bulge: float) -> Floats:
    """Return the distances (k,) of `points` from one arc, the line `p0` to `p1` when it hardly bows."""
    chord = p1 - p0
    length = float(np.hypot(chord[0], chord[1]))
    if abs(bulge) * length / 2 < FLAT * 1e-3:
        return chord_distances(points, p0, p1)
    center = (p0 + p1) / 2 + (1 - bulge * bulge) / (4 * bulge) * np.array([-chord[1], chord[0]])
    radius = length * (1 + bulge * bulge) / (4 * abs(bulge))
    out = points - center
    away = np.hypot(out[:, 0], out[:, 1])
    # The middle of a left-turning arc lies to the right of its chord.
    middle = np.sign(bulge) * np.array([chord[1], -chord[0]]) / length
    half = 2 * np.arctan(abs(bulge))
    within = out @ middle >= away * np.cos(half) - 1e-9
    ends = np.minimum(np.hypot(*(points - p0).T), np.hypot(*(points - p1).T))
    return np.where(within, np.abs(away - radius), ends)


def chain_distances(points: Floats, vertices: Floats) -> Floats:
    """Return the distances (k,) of `points` from an open chain of few lines and arcs (n, 3)."""
    best = np.full(len(points), np.inf)
    for a, b in pairwise(vertices):
        best = np.minimum(best, arc_distances(points, a[:2], b[:2], float(a[2])))
    return best


def best_circle(points: Floats) -> tuple[Floats, float, float] | None:
    """Return centre, radius and worst distance of the circle through `points` by least squares, None if straight."""
    middle = points.mean(axis=0)
    q = points - middle
    size = float(np.abs(q).max())
    if size == 0.0:
        return None
    q = q / size  # the normal equations stay well conditioned
    left = np.column_stack([2 * q, np.ones(len(q))])
    try:
        solved = np.linalg.solve(left.T @ left, left.T @ (q * q).sum(axis=1))
    except np.linalg.LinAlgError:
        return None
    center = solved[:2]
    if not np.isfinite(solved).all() or float(solved[2] + center @ center) <= 0:
        return None
    away = np.hypot(*(q - center).T) * size
    low, high = float(away.min()), float(away.max())
    return middle + center * size, (low + high) / 2, (high - low) / 2


def through_ends(points: Floats, backward: float = 2e-3, most: float = np.inf) -> FoundArc | None:
    """Return the arc from the first to the last of `points` that fits the others best.

    Arcs beyond a half circle come in pieces. None when the points make no arc, or go back along it by more than
    `backward` (mm) at once, or one lies farther from it than `most` (mm).
    """
    p0, p1 = points[0], points[-1]
    circle = best_circle(points)
    chord = p1 - p0
    length = float(np.hypot(chord[0], chord[1]))
    if circle is None or length < 1e-6:
        return None
    normal = np.array([-chord[1], chord[0]]) / length
    # Both ends must lie on the circle: its centre moves onto the line that halves them.
    center = (p0 + p1) / 2 + float((circle[0] - p0) @ normal) * normal
    radius = float(np.hypot(*(p0 - center)))
    out = points - center
    turns = np.arctan2(out[:-1, 0] * out[1:, 1] - out[:-1, 1] * out[1:, 0], (out[:-1] * out[1:]).sum(axis=1))
    sweep = float(turns.sum())
    if not 1e-9 < abs(sweep) < 2 * np.pi - 1e-6 or float((turns * np.sign(sweep)).min()) * radius < -backward:
        return None
    error = float(np.abs(np.hypot(out[:, 0], out[:, 1]) - radius).max())
    if error > most:
        return None
    return FoundArc(_split(p0, p1, center, sweep), center, radius, error)


def _split(p0: Floats, p1: Floats, center: Floats, sweep: float) -> Floats:
    """Return the vertices of the arc about `center`, in pieces of at most a half circle, ends to the last bit."""
    radius = float(np.hypot(*(p0 - center)))
    # What is over a half circle by less than half a micrometre of bow stays one piece.
    pieces = max(1, int(np.ceil((abs(sweep) - 1e-3 / radius) / np.pi - 1e-9)))
    start = np.arctan2(p0[1] - center[1], p0[0] - center[0])
    angles = start + sweep * np.arange(1, pieces) / pieces
    between = center + radius * np.column_stack([np.cos(angles), np.sin(angles)])
    points = np.vstack([p0, between, p1])
    bulge = float(np.clip(np.tan(sweep / pieces / 4), -1.0, 1.0))
    return np.column_stack([points, np.append(np.full(pieces, bulge), 0.0)])
