"""Where a contour may begin: middles of straights and bows, and outside corners between two straights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.counted import counted
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path, Segments
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.kerf import KerfLoop
from kerfproof.plan.leads.lead import Starts

SHARPEST_COSINE = -0.5
"""Corners that turn by more than 120 degrees are too sharp to be met on the extension of their edges."""
BLUNTEST_COSINE = 0.9
"""Corners that turn by less than about 25 degrees give no room outside."""
SHORTEST_EDGE = 2.0
LONG_EDGE = 20.0
PER_CONTOUR = 6
"""So many of the longest edges of a contour are tried first."""
TAIL = 0.1
"""The middle of the last fifth of an outline lies this share of its length before the start."""


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Starts on contours, as arrays of length m.

    `loop` (m,) the contour's place in the list, `segment` (m,) of all segments of the sheet the one begun on,
    `share` (m,) where on it, `back` (m,) at a corner the segment that ends there, else -1, and `cost` (m,) how
    much worse than the best this start is in itself.
    """

    loop: Ints
    segment: Ints
    share: Floats
    back: Ints
    cost: Floats
    starts: Starts

    def __len__(self) -> int:
        return len(self.loop)

    def take(self, which: Ints | Bools) -> Places:
        """Return the places picked by an index or a mask."""
        s = Starts(self.starts.at[which], self.starts.along[which], self.starts.scrap[which])
        return Places(self.loop[which], self.segment[which], self.share[which], self.back[which], self.cost[which], s)


def joined(parts: Sequence[Places]) -> Places:
    """Return all places one after the other."""
    s = Starts(*(np.concatenate([getattr(p.starts, n) for p in parts]) for n in Starts.__slots__))
    loop, segment, share, back, cost = (
        np.concatenate([getattr(p, n) for p in parts]) for n in ("loop", "segment", "share", "back", "cost")
    )
    return Places(loop, segment, share, back, cost, s)


class KerfSheet:
    """All closed kerf paths of a sheet as one array of segments, with what starts need to know of them."""

    __slots__ = ("after", "bulk", "first", "kerf", "loops", "outline", "s", "side", "until")

    def __init__(self, loops: Sequence[KerfLoop], side: int, bulk: Floats, turned: Sequence[bool] = ()) -> None:
        self.loops = tuple(loops)
        self.s: Segments = Bundle.of([loop.path for loop in loops]).segments()
        self.side = np.full(len(loops), side, dtype=np.int64)
        """On which side of travel the scrap of each contour lies (n,): 1 left, -1 right; those `turned` the other."""
        if len(turned):
            self.side[np.array(turned, dtype=np.bool_)] *= -1
        self.bulk = bulk
        """Unit directions (n, 2) from each contour towards the bulk of the plate."""
        self.kerf = np.array([loop.kerf for loop in loops], dtype=np.float64)
        self.outline = np.array([loop.feature.kind is FeatureKind.OUTLINE for loop in loops], dtype=np.bool_)
        self.first = np.searchsorted(self.s.owner, np.arange(len(loops) + 1))
        self.after = np.arange(1, len(self.s) + 1)
        self.after[self.first[1:] - 1] = self.first[:-1]
        self.until = np.cumsum(self.s.lengths())

    def scrap(self, along: Floats, loop: Ints) -> Floats:
        """Return the unit normals (m, 2) towards the scrap of contours `loop` (m,)."""
        side: Floats = self.side[loop].astype(np.float64)
        return side[:, None] * np.column_stack([-along[:, 1], along[:, 0]])

    def middles(self, which: Ints, share: Floats) -> Places:
        """Return the starts at `share` of segments `which`."""
        s = self.s
        along = s.tangents(which, share)
        loop = s.owner[which]
        longest = np.zeros(len(self.loops))
        np.maximum.at(longest, s.owner, s.lengths())
        cost = np.where(s.is_arc[which], 1.0, 0.3 * (1 - s.lengths()[which] / longest[loop]))
        cost = cost + np.where(s.is_arc[which], 0.0, np.abs(share - 0.5))
        starts = Starts(s.points(which, share), along, self.scrap(along, loop))
        return self._with_tail(Places(loop, which, share, np.full(len(which), -1), cost, starts))

    def corners(self) -> Places:
        """Return the starts at outside corners of outlines, where the extensions of two straight edges meet."""
        s, kerf = self.s, self.kerf[self.s.owner]
        line = ~s.is_arc & (s.lengths() >= SHORTEST_EDGE)
        rolled = s.is_arc & (np.abs(s.radius - kerf / 2) < 1e-3) & (s.sweep * self.side[s.owner] < 0)
        a = np.flatnonzero(line & self.outline[s.owner])
        c = np.where(rolled[self.after[a]], self.after[self.after[a]], self.after[a])
        a, c = a[line[c] & (a != c)], c[line[c] & (a != c)]
        zero = np.zeros(len(a))
        from_a, to_c = s.tangents(a, zero), s.tangents(c, zero)
        n_a, n_c = self.scrap(from_a, s.owner[a]), self.scrap(to_c, s.owner[c])
        cosine = (from_a * to_c).sum(axis=1)
        outside = (to_c * n_a).sum(axis=1) < 0  # turning towards the kept side
        keep = outside & (cosine >= SHARPEST_COSINE) & (cosine <= BLUNTEST_COSINE)
        a, c, n_a, n_c, to_c, cosine = a[keep], c[keep], n_a[keep], n_c[keep], to_c[keep], cosine[keep]
        # The edges' parallels lie r = reach from the corner; they meet at r (n_a + n_c) / (1 + cos) from it.
        reach = kerf[c] / 2
        corner = s.p0[c] - reach[:, None] * n_c
        sharp = self.after[a] == c
        meet = np.where(sharp[:, None], s.p0[c], corner + (reach / (1 + cosine))[:, None] * (n_a + n_c))
        return self._with_tail(Places(s.owner[c], c, np.zeros(len(c)), a, np.zeros(len(c)), Starts(meet, to_c, n_c)))

    def longest(self) -> Places:
        """Return the middles of the longest segments of each contour, on long ones of outlines two more places."""
        s = self.s
        order = np.lexsort((np.arange(len(s)), -np.round(s.lengths(), 6), s.is_arc, s.owner))
        rank = np.empty(len(s), dtype=np.int64)
        rank[order] = np.arange(len(s)) - self.first[s.owner[order]]
        which = np.flatnonzero(rank < PER_CONTOUR)
        long = which[self.outline[s.owner[which]] & (s.lengths()[which] > LONG_EDGE)]
        shares = np.repeat([0.5, 0.2, 0.8], [len(which), len(long), len(long)])
        return self.middles(np.concatenate([which, long, long]), shares)

    def dense(self, loops: Ints, step: float) -> Places:
        """Return starts about every `step` mm all along the given contours."""
        which = np.flatnonzero(np.isin(self.s.owner, loops))
        count = np.ceil(self.s.lengths()[which] / step).astype(np.int64).clip(1, 200)
        row, place = counted(count)
        return self.middles(which[row], (place + 0.5) / count[row])

    def place_near(self, loop: int, point: Floats) -> Places:
        """Return the start on contour `loop` that lies nearest to a point (2,)."""
        segments = np.arange(self.first[loop], self.first[loop + 1])
        path: Path = self.loops[loop].path
        best, share = nearest_place(path, point)
        return self.middles(segments[[best]], np.array([share]))

    def _with_tail(self, places: Places) -> Places:
        """Add what speaks against ending an outline there: the last stretch away from the bulk of the plate."""
        outline = self.outline[places.loop]
        begin = np.concatenate([[0.0], self.until])[self.first[places.loop]]
        total = self.until[self.first[places.loop + 1] - 1] - begin
        lengths = self.s.lengths()
        here = self.until[places.segment] - lengths[places.segment] * (1 - places.share) - begin
        goal = begin + (here - TAIL * total) % total
        segment = np.minimum(np.searchsorted(self.until, goal, side="right"), self.first[places.loop + 1] - 1)
        share = np.clip(1 - (self.until[segment] - goal) / lengths[segment], 0.0, 1.0)
        tail = self.s.points(segment, share) - self._center()[places.loop]
        size = np.hypot(tail[:, 0], tail[:, 1]).clip(1e-9)
        towards = (tail * self.bulk[places.loop]).sum(axis=1) / size
        cost = places.cost + np.where(outline, 0.5 * (1 - towards), 0.0)
        return Places(places.loop, places.segment, places.share, places.back, cost, places.starts)

    def _center(self) -> Floats:
        boxes = self.s.boxes()
        low = np.minimum.reduceat(boxes[:, :2], self.first[:-1])
        high = np.maximum.reduceat(boxes[:, 2:], self.first[:-1])
        return np.asarray((low + high) / 2)


def nearest_place(path: Path, point: Floats) -> tuple[int, float]:
    """Return the segment of `path` and the share of it that lie nearest to a point (2,)."""
    s = path.segments()
    every = np.arange(len(s))
    chord = s.p1 - s.p0
    share = ((point - s.p0) * chord).sum(axis=1) / (chord * chord).sum(axis=1)
    angle = np.arctan2(point[1] - s.center[:, 1], point[0] - s.center[:, 0]) - s.start_angle
    turned = (angle * np.sign(s.sweep)) % (2 * np.pi)
    past = np.where(turned - np.abs(s.sweep) > 2 * np.pi - turned, 0.0, 1.0)  # beyond the arc: its nearer end
    bow = np.where(turned <= np.abs(s.sweep), turned / np.abs(s.sweep).clip(1e-12), past)
    share = np.clip(np.where(s.is_arc, bow, share), 0.0, 1.0)
    away = np.hypot(*(s.points(every, share) - point).T)
    best = int(np.argmin(np.round(away, 9)))
    return best, float(share[best])
