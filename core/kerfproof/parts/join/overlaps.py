"""Lines and arcs that were drawn twice, whole or in part, in either direction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path, Segments

ON_TOP = 0.005
"""Curves nearer than this (mm) along an overlap are the same curve."""
LEAST = 0.02
"""Overlaps shorter than this (mm) are joints, not doubled metal."""


@dataclass(frozen=True, slots=True)
class Doubled:
    """A piece that was removed: middle, length, and the path it came from."""

    x: float
    y: float
    length: float
    source: int
    whole: bool


@dataclass(frozen=True, slots=True, eq=False)
class SinglePaths:
    """Paths without doubled stretches: each with the number of its `source`, and what was removed.

    `copies` says how often each path was drawn, in all its length.
    """

    paths: tuple[Path, ...]
    sources: tuple[int, ...]
    removed: tuple[Doubled, ...]
    copies: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Overlap:
    """Pairs (i, j) of segments with the stretch of j on i as shares `low`, `high` of i (k,)."""

    i: Ints
    j: Ints
    low: Floats
    high: Floats


def without_doubles(paths: Sequence[Path]) -> SinglePaths:
    """Return the paths with every stretch kept once; paths that overlap none stay whole.

    A path of which only a share is doubled is taken apart, and so is the one it lies on, so that both can be joined
    anew where they part.
    """
    segments = Bundle.of(paths).segments()
    found = _overlaps(segments)
    if not len(found.i):
        return SinglePaths(tuple(paths), tuple(range(len(paths))), (), (1,) * len(paths))
    pieces, owner, whole = _split(segments, found)
    again = _overlaps(pieces)
    gone, under = _doubles(again, pieces)
    touched, left = np.unique(owner[gone]), np.unique(owner[~gone])
    parted = np.intersect1d(touched, left)
    removed = _removed(pieces, owner, whole, gone, np.isin(owner, parted))
    apart = np.union1d(parted, owner[under[gone & np.isin(owner, parted)]])
    broken = set(np.union1d(touched, apart).tolist())
    times = 1 + np.bincount(under[gone], minlength=len(pieces))
    least = np.full(len(paths), len(paths), dtype=np.int64)
    np.minimum.at(least, owner, times)
    out, sources, copies = [], [], []
    for number, path in enumerate(paths):
        if number not in broken:
            out.append(path)
            sources.append(number)
            copies.append(int(least[number]))
    for k in np.flatnonzero(~gone & np.isin(owner, sorted(broken))).tolist():
        out.append(Path([(*pieces.p0[k], pieces.bulge[k]), (*pieces.p1[k], 0.0)], False))
        sources.append(int(owner[k]))
        copies.append(int(times[k]))
    return SinglePaths(tuple(out), tuple(sources), removed, tuple(copies))


def _removed(s: Segments, owner: Ints, whole: Bools, gone: Bools, parted: Bools) -> tuple[Doubled, ...]:
    """Return what was removed: a whole path at once, of the others piece by piece."""
    lengths = s.lengths()
    total = np.bincount(owner[gone], lengths[gone], minlength=int(owner.max(initial=-1)) + 1)
    told: dict[int, Doubled] = {}
    for k in np.flatnonzero(gone).tolist():
        source = int(owner[k])
        if parted[k]:
            told[-1 - k] = Doubled(*_middle(s, k), float(lengths[k]), source, bool(whole[k]))
        elif source not in told:
            told[source] = Doubled(*_middle(s, k), float(total[source]), source, True)
    return tuple(told.values())


def _middle(s: Segments, k: int) -> tuple[float, float]:
    x, y = s.points(np.array([k]), np.array([0.5]))[0]
    return float(x), float(y)


def _overlaps(s: Segments) -> _Overlap:
    """Return every ordered pair of segments that share a stretch longer than `LEAST`."""
    boxes = s.boxes()
    i, j = Index(boxes).pairs(boxes, ON_TOP)
    different = (i != j) & (s.is_arc[i] == s.is_arc[j])
    i, j = i[different], j[different]
    low, high = np.zeros(len(i)), np.zeros(len(i))
    arc = s.is_arc[i]
    for which, stretch in ((~arc, _on_line), (arc, _on_arc)):
        low[which], high[which] = stretch(s, i[which], j[which])
    shared = (high - low) * s.lengths()[i] > LEAST
    return _Overlap(i[shared], j[shared], low[shared], high[shared])


def _on_line(s: Segments, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    along = s.p1[i] - s.p0[i]
    length = np.hypot(along[:, 0], along[:, 1])
    along = along / length[:, None]
    shares, aside = [], []
    for end in (s.p0[j], s.p1[j]):
        offset = end - s.p0[i]
        shares.append((offset * along).sum(axis=1) / length)
        aside.append(offset[:, 0] * along[:, 1] - offset[:, 1] * along[:, 0])
    # Measured on the shared stretch only, not at j's far ends.
    low = np.clip(np.minimum(*shares), 0, 1)
    high = np.clip(np.maximum(*shares), 0, 1)
    span = shares[1] - shares[0]
    along_i = np.abs(span) > 1e-12
    steep = (aside[1] - aside[0]) / np.where(along_i, span, 1.0)
    worst = np.maximum(np.abs(aside[0] + steep * (low - shares[0])), np.abs(aside[0] + steep * (high - shares[0])))
    same = along_i & (worst <= ON_TOP)
    return np.where(same, low, 0.0), np.where(same, high, 0.0)


def _on_arc(s: Segments, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    turn = np.sign(s.sweep[i])
    total = np.abs(s.sweep[i])

    def share(point: Floats) -> Floats:
        angle = np.arctan2(point[:, 1] - s.center[i][:, 1], point[:, 0] - s.center[i][:, 0])
        turned = (angle - s.start_angle[i]) * turn % (2 * np.pi)
        # Just before the start reads as a small negative share.
        turned = np.where(turned > np.pi + total / 2, turned - 2 * np.pi, turned)
        return np.asarray(turned / total)

    half = np.full(len(j), 0.5)
    middle = s.points(j, half)
    apart = np.hypot(*(s.center[i] - s.center[j]).T)
    same = (apart <= ON_TOP) & (np.abs(s.radius[i] - s.radius[j]) <= ON_TOP)
    a, b, m = share(s.p0[j]), share(s.p1[j]), share(middle)
    low, high = np.minimum(a, b), np.maximum(a, b)
    # Where j bows round the far side of the circle its middle lies outside (low, high): two stretches may
    # be shared; the larger is taken, the other is found from its own neighbour.
    inside = (m >= low) & (m <= high)
    before, after = np.clip(low, 0, 1), np.clip(1 - high, 0, 1)
    wrapped_low = np.where(before >= after, 0.0, np.clip(high, 0, 1))
    wrapped_high = np.where(before >= after, before, 1.0)
    low = np.where(inside, np.clip(low, 0, 1), wrapped_low)
    high = np.where(inside, np.clip(high, 0, 1), wrapped_high)
    return np.where(same, low, 0.0), np.where(same, high, 0.0)


def _split(s: Segments, found: _Overlap) -> tuple[Segments, Ints, Bools]:
    """Return all segments cut where an overlap begins or ends, their paths, and which were left whole."""
    lengths = s.lengths()
    cuts: dict[int, list[tuple[float, tuple[float, float]]]] = defaultdict(list)
    for i, j, low, high in zip(found.i.tolist(), found.j.tolist(), found.low, found.high, strict=True):
        for share in (float(low), float(high)):
            if min(share, 1 - share) * lengths[i] > ON_TOP:
                spot = s.points(np.array([i]), np.array([share]))[0]
                ends = np.array([s.p0[j], s.p1[j]])
                nearest = ends[np.argmin(np.hypot(*(ends - spot).T))]
                # The partner's own end, so that the pieces join exactly.
                x, y = nearest if np.hypot(*(nearest - spot)) <= 2 * ON_TOP else spot
                cuts[i].append((share, (float(x), float(y))))
    p0, p1, bulge, owner, whole = [], [], [], [], []
    for k in range(len(s)):
        stops = [(0.0, tuple(s.p0[k]))]
        for share, place in sorted(cuts.get(k, ())):
            if (share - stops[-1][0]) * lengths[k] > ON_TOP:
                stops.append((share, place))
        stops.append((1.0, tuple(s.p1[k])))
        for (a, start), (b, end) in pairwise(stops):
            p0.append(start)
            p1.append(end)
            bulge.append(np.tan(s.sweep[k] * (b - a) / 4))
            owner.append(int(s.owner[k]))
            whole.append(len(stops) == 2)
    made = Segments.between(np.array(p0), np.array(p1), np.array(bulge))
    return made, np.array(owner), np.array(whole, dtype=np.bool_)


def _doubles(found: _Overlap, pieces: Segments) -> tuple[Bools, Ints]:
    """Return which pieces lie wholly on an earlier one that stays, and on which one each does."""
    gone = np.zeros(len(pieces), dtype=np.bool_)
    under = np.full(len(pieces), -1, dtype=np.int64)
    lengths = pieces.lengths()
    covered = (found.high - found.low) * lengths[found.i] >= lengths[found.i] - 2 * ON_TOP
    order = np.lexsort((found.j, found.i))
    for k in order[covered[order]].tolist():
        i, j = int(found.i[k]), int(found.j[k])
        if i > j and not gone[j] and not gone[i]:
            gone[i], under[i] = True, j
    return gone, under
