"""Where segments run along others: exact stretches, and segments cut at them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.carrier import Carriers, carrier_meetings, turned_left
from kerfproof.geom.closest import pair_distances, point_distances
from kerfproof.geom.counted import ranges
from kerfproof.geom.crossing import share_along
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Floats, Ints, Segments

LEAST = 1e-6
"""Pieces shorter than this are not made, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """Pieces (k,) of segments `which` from share `low` to share `high`, in order; `near` tells which are met."""

    which: Ints
    low: Floats
    high: Floats
    near: Bools

    def lengths(self, s: Segments) -> Floats:
        """Return how long each piece is (k,)."""
        return np.asarray((self.high - self.low) * s.lengths()[self.which])


def stretches_near(s: Segments, onto: Segments, reach: float, pairs: tuple[Ints, Ints] | None = None) -> Stretches:
    """Return the segments of `s` that come within `reach` of `onto`, cut where they begin and end to do so.

    The bounds are where a segment meets what lies exactly `reach` away from one of `onto`: between two of them nothing
    changes, so the middle speaks for all. `pairs` limits what is looked at (numbers in `s` and in `onto`).
    """
    i, j = Index(onto.boxes()).pairs(s.boxes(), reach) if pairs is None else pairs
    met = pair_distances(s, i, onto, j) <= reach
    i, j = i[met], j[met]
    which = np.unique(i)
    rows, shares = _bounds(s, i, onto, j, reach)
    rows = np.concatenate([rows, which, which])
    shares = np.concatenate([shares, np.zeros(len(which)), np.ones(len(which))])
    order = np.lexsort((shares, rows))
    rows, shares = rows[order], shares[order]
    low = np.flatnonzero((np.diff(rows) == 0) & (np.diff(shares) * s.lengths()[rows[:-1]] > LEAST))
    piece, begin, end = rows[low], shares[low], shares[low + 1]
    near = _middles_near(s, piece, (begin + end) / 2, onto, i, j, reach)
    # What is alike side by side is one piece; too short a piece goes to the one before it.
    new = np.ones(len(piece), dtype=np.bool_)
    new[1:] = (piece[1:] != piece[:-1]) | (near[1:] != near[:-1])
    piece, begin, near = piece[new], begin[new], near[new]
    begin[np.diff(piece, prepend=-1) != 0] = 0.0
    end = np.ones(len(piece))
    same = np.flatnonzero(np.diff(piece) == 0)
    end[same] = begin[same + 1]
    return Stretches(piece, begin, end, near)


def _middles_near(s: Segments, piece: Ints, share: Floats, onto: Segments, i: Ints, j: Ints, reach: float) -> Bools:
    """Return of which pieces the place at `share` lies within `reach` of what their segment was paired with."""
    order = np.argsort(i, kind="stable")
    i, j = i[order], j[order]
    low, high = np.searchsorted(i, piece, side="left"), np.searchsorted(i, piece, side="right")
    row, pair = ranges(low, high)
    points = s.points(piece, share)
    close = point_distances(points.take(row, axis=0), onto, j[pair]) <= reach
    out = np.zeros(len(piece), dtype=np.bool_)
    out[row[close]] = True
    return out


def _bounds(s: Segments, i: Ints, onto: Segments, j: Ints, reach: float) -> tuple[Ints, Floats]:
    """Return the segments and shares where they meet what lies `reach` away from their partners."""
    mine = Carriers.of(s).take(i)
    other = Carriers.of(onto).take(j)
    straight = np.flatnonzero(~other.is_arc)
    arc = np.flatnonzero(other.is_arc)
    found: list[tuple[Ints, Floats]] = []

    def meet(which: Ints, around: Carriers) -> None:
        points, _ = carrier_meetings(mine.take(which), around)
        for side in range(2):
            known = np.flatnonzero(np.isfinite(points[:, side, 0]))
            found.append((i[which[known]], points[known, side]))

    left = turned_left(other.direction.take(straight, axis=0)) * reach
    for way in (left, -left):
        at = other.point.take(straight, axis=0) + way
        lines = Carriers(at, other.direction.take(straight, axis=0), other.radius[straight], other.is_arc[straight])
        meet(straight, lines)
    for by in (reach, -reach):
        wide = arc[other.radius[arc] + by > 0]
        meet(wide, _circles(other.point.take(wide, axis=0), other.radius[wide] + by))
    every = np.arange(len(i))
    for ends in (onto.p0, onto.p1):
        meet(every, _circles(ends.take(j, axis=0), np.full(len(j), reach)))
    rows = np.concatenate([r for r, _ in found])
    share = share_along(s, rows, np.concatenate([p for _, p in found]))
    inside = (share > 0) & (share < 1)
    return rows[inside], share[inside]


def _circles(center: Floats, radius: Floats) -> Carriers:
    unit = np.zeros((len(radius), 2))
    unit[:, 0] = 1.0
    return Carriers(center, unit, radius, np.ones(len(radius), dtype=np.bool_))


def cut_at(s: Segments, which: Ints, share: Floats) -> tuple[Segments, Ints]:
    """Return segments with some cut at shares (inside them) of them, and where the pieces of each begin (m + 1,)."""
    rows = np.concatenate([np.arange(len(s)), which])
    low = np.concatenate([np.zeros(len(s)), share])
    order = np.lexsort((low, rows))
    rows, low = rows[order], low[order]
    first = np.searchsorted(rows, np.arange(len(s) + 1))
    last = np.zeros(len(rows), dtype=np.bool_)
    last[first[1:] - 1] = True
    high = np.where(last, 1.0, np.roll(low, -1))
    whole = (low == 0.0) & last
    bulge = np.where(whole, s.bulge[rows], np.tan(s.sweep[rows] * (high - low) / 4))
    p0 = s.points(rows, low)
    p1 = np.where(last[:, None], s.p1.take(rows, axis=0), np.roll(p0, -1, axis=0))
    return Segments.between(p0, p1, bulge, s.owner[rows], s.index[rows]), first.astype(np.int64)


def split_along(s: Segments, onto: Segments, reach: float) -> tuple[Segments, Ints]:
    """Return segments cut where they begin and end to run within `reach` of `onto`; see `cut_at`."""
    found = stretches_near(s, onto, reach)
    inner = found.low > 0
    return cut_at(s, found.which[inner], found.low[inner])
