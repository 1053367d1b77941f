"""Pockets of a path that its offset can't enter."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.geom.carrier import norm
from kerfproof.geom.closest import closest_points
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bools, Bundle, Ints, Path, Segments

_SHARES = (0.02, 0.25, 0.5, 0.75, 0.98)
_AT_END = 1e-6


def unreached(source: Path, loops: Sequence[Path], distance: float) -> tuple[tuple[float, float], ...]:
    """Return the deepest place of each pocket of `source` that stays more than |distance| out of reach.

    A pocket is a run of segments that the offset `loops` touch nowhere between their ends: a slot narrower than
    the kerf. Corners, whose sides are touched, are none.
    """
    if not loops:
        return ()
    s, curves = source.segments(), Bundle.of(loops).segments()
    missed = ~_touched(s, curves)
    if not missed.any() or missed.all():
        return ()
    places = []
    for run in _runs(missed):
        middles = s.points(run, np.full(len(run), 0.5))
        points = np.vstack([middles, s.p1[run[:-1]]])
        away, _ = nearest(points, curves, np.inf)
        deepest = int(np.argmax(np.round(away, 6)))
        if away[deepest] > 2 * abs(distance):
            places.append((float(points[deepest, 0]), float(points[deepest, 1])))
    return tuple(places)


def _touched(s: Segments, curves: Segments) -> Bools:
    """Return which segments of `s` are nearest to some point of `curves` between their own ends."""
    everything = np.arange(len(curves))
    points = np.vstack([curves.points(everything, np.full(len(curves), share)) for share in _SHARES])
    _, number = nearest(points, s, np.inf)
    foot = closest_points(points, s, number)
    between = (norm(foot - s.p0[number]) > _AT_END) & (norm(foot - s.p1[number]) > _AT_END)
    out = np.zeros(len(s), dtype=np.bool_)
    out[number[between]] = True
    return out


def _runs(missed: Bools) -> list[Ints]:
    """Return the runs of missed segments round the closed path, in order."""
    n = len(missed)
    first = int(np.flatnonzero(~missed)[0])
    order = (np.arange(n) + first) % n
    inside = missed[order]
    cuts = np.flatnonzero(np.diff(inside.astype(np.int8)) != 0) + 1
    return [part for part in np.split(order, cuts) if missed[part[0]]]
