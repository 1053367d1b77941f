"""Closed contours without noise, and with arcs and lines again where they were drawn as many short pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.path import Bools, Bundle, Segments
from kerfproof.geom.refit import FEWEST_CHORDS, WIDEST_CHORD, refit
from kerfproof.parts.join.assemble import BIT, without_bits
from kerfproof.parts.model.contour import Contour, Mend

STRAIGHT_ON = 2e-3
"""Two lines that turn by less than this (radians) may be one."""
AGAIN = 0.001
"""Tolerance (mm) for curves that were fitted already, so that the errors do not add up."""


def tidy(contours: Sequence[Contour], tolerance: float, watch: Watch = no_watch) -> tuple[list[Contour], list[Mend]]:
    """Return closed contours without bits and refitted within `tolerance` (mm), and the bits dropped.

    Where a contour was refitted, the drawn vertices are kept as its samples.
    """
    out: list[Contour] = []
    mends: list[Mend] = []
    if not contours:
        return out, mends
    segments = Bundle.of([c.path for c in contours]).segments()
    noisy = _any_by_owner(segments, segments.lengths() < BIT, len(contours))
    worth = _any_by_owner(segments, _worth_refitting(segments), len(contours))
    for number, (contour, bits, short) in enumerate(zip(contours, noisy, worth, strict=True)):
        if number % 500 == 0:
            watch("joining", 0.9)
        made = contour
        if bits:
            path, dropped = without_bits(contour.path.vertices, True)
            if path is not None and dropped:
                x, y = path.start
                mends.append(Mend("bit dropped", float(x), float(y), BIT, contour.handles[:1]))
                made = replace(contour, path=path)
        if contour.samples is not None and not short:
            made = _rounded(made, tolerance)
        elif bits or short:
            made = _refitted(made, tolerance)
        out.append(made)
    return out, mends


def _rounded(contour: Contour, tolerance: float) -> Contour:
    """Return a contour of fitted curves as a circle if all its drawn points lie on one within `tolerance`."""
    path, _ = refit(contour.path, tolerance)
    if path is contour.path or path.n_segments != 2 or contour.samples is None:
        return contour
    s = path.segments()
    away = np.abs(np.hypot(*(contour.samples - s.center[0]).T) - s.radius[0])
    if not s.is_arc.all() or float(away.max()) > tolerance:
        return contour
    return replace(contour, path=path, fit_error=float(away.max()))


def _refitted(contour: Contour, tolerance: float) -> Contour:
    if contour.samples is not None:
        round_one = _rounded(contour, tolerance)
        if round_one is not contour:
            return round_one
        tolerance = AGAIN
    fitted, error = refit(contour.path, tolerance)
    if fitted is contour.path:
        return contour
    samples = contour.path.vertices[:, :2]
    if contour.samples is not None:
        samples = np.vstack([samples, contour.samples])
    return replace(contour, path=fitted, fit_error=error + contour.fit_error, samples=samples)


def _any_by_owner(s: Segments, flags: Bools, count: int) -> Bools:
    return np.bincount(s.owner[flags], minlength=count) > 0


def _worth_refitting(s: Segments) -> Bools:
    """Return which segments (m,) may become part of a longer one with the next: a cheap look at the whole sheet.

    Two lines that go straight on, the beginning of a run of lines that turn little, or two arcs on one circle.
    """
    following = np.arange(1, len(s) + 1)
    first = np.flatnonzero(s.index == 0)
    following[np.append(first[1:], len(s)) - 1] = first
    one, zero = np.ones(len(s)), np.zeros(len(s))
    a, b = s.tangents(np.arange(len(s)), one), s.tangents(following, zero)
    turn = np.abs(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1)))
    arc, next_arc = s.is_arc, s.is_arc[following]
    lines = ~arc & ~next_arc
    bending = lines & (turn <= WIDEST_CHORD)
    run = bending
    for _ in range(FEWEST_CHORDS - 2):
        run = bending & run[following]
    radius, next_radius = np.where(arc, s.radius, 0.0), np.where(next_arc, s.radius[following], 0.0)
    near = np.hypot(*(s.center - s.center[following]).T) + np.abs(radius - next_radius) <= 2 * BIT
    halves = np.abs(s.sweep) + np.abs(s.sweep[following]) > 2 * np.pi - 1e-6  # a circle as it should be
    return np.asarray((lines & (turn <= STRAIGHT_ON)) | run | (arc & next_arc & near & ~halves))
