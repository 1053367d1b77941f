"""Dense samples of a curve: points, directions, corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.counted import counted
from kerfproof.geom.curves import Curve
from kerfproof.geom.path import Bools, Floats, Ints

CORNER = 2e-3
"""A curve that turns by more than this (radians) at a break has a corner there."""

MOST_SAMPLES = 200_000


@dataclass(frozen=True, slots=True, eq=False)
class Sampled:
    """N points of a curve in order of travel.

    `tangents_in` and `tangents_out` (N, 2) are unit directions of arriving and leaving, different only at corners.
    `corner` and `jump` (N,) mark inner breaks where the direction or the curvature jumps. `length` (N,) is measured
    along the chords.
    """

    points: Floats
    tangents_in: Floats
    tangents_out: Floats
    corner: Bools
    jump: Bools
    length: Floats


def sampled(curve: Curve, sagitta: float) -> Sampled:
    """Return samples of `curve` so dense that it stays within `sagitta` (mm) of the chords between them.

    Raises
    ------
    ValueError
        If the curve jumps or a number is not finite.
    """
    breaks = curve.breaks
    counts = np.full(len(breaks) - 1, 8)
    for _ in range(12):
        points, tangents = _evaluate(curve, breaks, counts)
        if not np.isfinite(points).all():
            raise ValueError("a point of the curve is not finite")
        bow = _bows(points, counts)
        coarse = bow > 4 * sagitta
        if not coarse.any():
            return _assembled(points, tangents, counts)
        more = 2 ** np.ceil(np.log2(np.sqrt(bow[coarse] / (4 * sagitta)) + 1e-9)).clip(1, 4)
        counts[coarse] = counts[coarse] * more.astype(np.int64)
        if counts.sum() > MOST_SAMPLES:
            break
    raise ValueError("the curve jumps or is too wild to follow")


def _evaluate(curve: Curve, breaks: Floats, counts: Ints) -> tuple[Floats, Floats]:
    """Return points and unit tangents span by span, each span with both its ends (sum of counts + 1)."""
    span, step = counted(counts + 1)
    share = step / counts[span]
    low, width = breaks[span], (breaks[1:] - breaks[:-1])[span]
    on = np.where(step == counts[span], breaks[span + 1], low + width * share)
    # Directions at the ends of a span are taken just inside it.
    ends = np.flatnonzero((step == 0) | (step == counts[span]))
    inside = low[ends] + width[ends] * np.clip(share[ends], 1e-7, 1 - 1e-7)
    places, rates = curve.at(np.concatenate([on, inside]))
    points = places[: len(on)]
    gaps = np.abs(places[len(on) :] - points[ends]).max()
    if not gaps <= 1e-4 + 1e-6 * np.ptp(points, axis=0).max():
        raise ValueError("the curve jumps or is not finite")
    rates[ends] = rates[len(on) :]
    rates = rates[: len(on)]
    speed = np.hypot(rates[:, 0], rates[:, 1])
    stalled = ~(speed > 1e-10 * speed.max())
    if stalled.any():
        rates = np.where(stalled[:, None], _differences(points, step, counts[span]), rates)
        speed = np.hypot(rates[:, 0], rates[:, 1])
    return points, rates / np.where(speed > 0, speed, 1.0)[:, None]


def _differences(points: Floats, step: Ints, last: Ints) -> Floats:
    """Return directions from neighbouring samples of the same span."""
    at = np.arange(len(points))
    return points[at + (step < last)] - points[at - (step > 0)]


def _bows(points: Floats, counts: Ints) -> Floats:
    """Return for each span how far its odd samples lie from the chords of the even ones."""
    start = np.cumsum(counts + 1) - counts - 1
    span, k = counted(counts // 2)
    at = start[span] + 2 * k
    a, m, b = points[at], points[at + 1], points[at + 2]
    chord = b - a
    square = (chord * chord).sum(axis=1)
    share = np.clip(((m - a) * chord).sum(axis=1) / np.where(square > 0, square, 1.0), 0.0, 1.0)
    away = np.hypot(*(m - a - share[:, None] * chord).T)
    return np.asarray(np.maximum.reduceat(away, np.cumsum(counts // 2) - counts // 2))


def _assembled(points: Floats, tangents: Floats, counts: Ints) -> Sampled:
    """Return the spans joined: the doubled sample at each inner break made one."""
    last = np.cumsum(counts + 1)[:-1] - 1
    keep = np.ones(len(points), dtype=np.bool_)
    keep[last] = False
    arriving = tangents.copy()
    arriving[last + 1] = tangents[last]
    place = np.cumsum(counts)[:-1]
    n = int(keep.sum())
    corner, jump = np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_)
    corner[place] = (tangents[last] * tangents[last + 1]).sum(axis=1) < np.cos(CORNER)
    jump[place] = _jumps(points, tangents, last)
    # Where the direction does not jump, both sides share one tangent, so that arcs meet without a corner.
    tangents_in = np.where(corner[:, None], arriving[keep], tangents[keep])
    return _without_stops(points[keep], tangents_in, tangents[keep], corner, jump)


def _without_stops(points: Floats, arriving: Floats, leaving: Floats, corner: Bools, jump: Bools) -> Sampled:
    """Return the samples without those that fall on the one before; its marks and its direction pass over."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    keep = np.append(True, steps > 1e-9)
    if not keep.all():
        group = np.cumsum(keep) - 1
        last = np.append(np.flatnonzero(keep)[1:] - 1, len(points) - 1)
        leaving = leaving[last]
        corner, jump = (np.bincount(group, mark).astype(np.bool_) for mark in (corner, jump))
        end = points[-1]
        points, arriving = points[keep], arriving[keep]
        points[-1] = end
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return Sampled(points, arriving, leaving, corner, jump, length)


def _jumps(points: Floats, tangents: Floats, last: Ints) -> Bools:
    """Return at which breaks the curvature jumps so much that one arc can't well stand for both sides."""
    before, after = _curvature(points, tangents, last - 1), _curvature(points, tangents, last + 1)
    return np.asarray(np.abs(before - after) > 0.2 * np.maximum(np.abs(before), np.abs(after)) + 1e-9)


def _curvature(points: Floats, tangents: Floats, at: Ints) -> Floats:
    """Return the curvature (1/mm) between samples `at` and `at` + 1."""
    a, b = tangents[at], tangents[at + 1]
    turn = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    step = np.hypot(*(points[at + 1] - points[at]).T)
    return np.asarray(turn / np.where(step > 0, step, np.inf))
