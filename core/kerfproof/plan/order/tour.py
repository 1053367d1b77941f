"""Short tours through points: nearest neighbour, then 2-opt and Or-opt on neighbour lists, then seeded kicks.

Every search is bounded by counts, never by time, and draws from a generator of its own with a fixed seed: the
same points give the same tour.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from kerfproof.geom.path import Floats, Ints

NEIGHBOURS = 10
KICKS_PER_POINT = 20
MOST_KICKS = 3000
NO_KICKS_ABOVE = 1500
LONGEST_CHAIN = 3
"""Or-opt moves chains of up to so many points."""
LONGEST_SWAP = 30
_SEED = 20231
_GAIN = 1e-9
_ROWS = 1 << 9
_MATRIX_UP_TO = 700


def open_tour(points: ArrayLike, start: ArrayLike, end: ArrayLike | None = None, *, kicks: int | None = None) -> Ints:
    """Return the order (n,) in which to visit `points` (n, d) on a short way from `start` to `end` (d,).

    Without `end` the way ends at whichever point comes last. `kicks` bounds the search after the first descent;
    None: 20 per point, at most 3 000, none above 1 500 points.
    """
    inner = _rows(points)
    if len(inner) < 2:
        return np.arange(len(inner))
    first = np.asarray(start, dtype=np.float64).reshape(1, -1)
    last = None if end is None else np.asarray(end, dtype=np.float64).reshape(1, -1)
    return np.array(_Way(inner, first, last).search(_kicks(len(inner), kicks)), dtype=np.int64)


def closed_tour(points: ArrayLike, *, kicks: int | None = None) -> Ints:
    """Return the order (n,) of a short closed tour through `points` (n, d), from the first one."""
    rows = _rows(points)
    if len(rows) < 4:
        return np.arange(len(rows))
    inner = open_tour(rows[1:], rows[0], rows[0], kicks=_kicks(len(rows), kicks))
    return np.concatenate([[0], inner + 1])


def _rows(points: ArrayLike) -> Floats:
    array = np.asarray(points, dtype=np.float64)
    return array.reshape(len(array), -1) if len(array) else np.empty((0, 2))


def _kicks(n: int, kicks: int | None) -> int:
    if kicks is not None:
        return kicks
    return 0 if n > NO_KICKS_ABOVE else min(KICKS_PER_POINT * n, MOST_KICKS)


class _Way:
    """A way from a fixed start through all inner points to a fixed or free end.

    Node 0 is the start, nodes 1 to n the inner points, node n + 1 the end. A free end lies at no distance from
    everything. `at` is the way as a list of nodes, `place` where each node stands in it.
    """

    def __init__(self, inner: Floats, first: Floats, last: Floats | None) -> None:
        self.n = len(inner)
        self.free = last is None
        nodes = np.vstack([first, inner, first if last is None else last])
        self.points: list[tuple[float, ...]] = [tuple(p) for p in nodes.tolist()]
        self.near = self._neighbours(nodes)
        self.matrix = self._distances(nodes) if len(nodes) <= _MATRIX_UP_TO else None
        self.at = self._nearest_first(nodes)
        self.place = [0] * (self.n + 2)
        self._renumber(0, self.n + 1)

    # --- distances ----------------------------------------------------------------------------------------

    def _distances(self, nodes: Floats) -> list[list[float]]:
        square = np.zeros((len(nodes), len(nodes)))
        for k in range(nodes.shape[1]):
            square += (nodes[:, None, k] - nodes[None, :, k]) ** 2
        matrix = np.sqrt(square)
        if self.free:
            matrix[-1] = matrix[:, -1] = 0.0
        rows: list[list[float]] = matrix.tolist()
        return rows

    def gap(self, a: int, b: int) -> float:
        """Return the distance between two nodes."""
        if self.matrix is not None:
            return self.matrix[a][b]
        if self.free and (a > self.n or b > self.n):
            return 0.0
        return math.dist(self.points[a], self.points[b])

    def _neighbours(self, nodes: Floats) -> list[list[int]]:
        """Return the nearest nodes of each node, nearest first, without a free end."""
        others = nodes[: self.n + 1] if self.free else nodes
        count = min(NEIGHBOURS, len(others) - 1)
        out: list[list[int]] = []
        for low in range(0, len(nodes), _ROWS):
            some = nodes[low : low + _ROWS]
            square = np.zeros((len(some), len(others)))
            for k in range(nodes.shape[1]):
                square += (some[:, None, k] - others[None, :, k]) ** 2
            rows = np.arange(len(some))
            own = low + rows
            square[rows[own < len(others)], own[own < len(others)]] = np.inf
            nearest = np.argpartition(square, count - 1, axis=1)[:, :count]
            order = np.lexsort((nearest, np.take_along_axis(square, nearest, axis=1)), axis=1)
            out += np.take_along_axis(nearest, order, axis=1).tolist()
        if self.free:
            out[-1] = []
        return out

    def _nearest_first(self, nodes: Floats) -> list[int]:
        """Return the way that always goes on to the nearest node not yet visited."""
        inner = nodes[1 : self.n + 1]
        left = np.ones(self.n, dtype=np.bool_)
        way, here = [0], 0
        for _ in range(self.n):
            step = next((p for p in self.near[here] if 1 <= p <= self.n and left[p - 1]), 0)
            if not step:
                rest = np.flatnonzero(left)
                square = ((inner[rest] - nodes[here]) ** 2).sum(axis=1)
                step = int(rest[np.argmin(square)]) + 1
            left[step - 1] = False
            way.append(step)
            here = step
        return [*way, self.n + 1]

    def length(self) -> float:
        """Return the length of the way."""
        return math.fsum(self.gap(a, b) for a, b in zip(self.at, self.at[1:], strict=False))

    # --- descent ------------------------------------------------------------------------------------------

    def search(self, kicks: int) -> list[int]:
        """Return the inner points in the order of the best way found."""
        self._descend(list(range(self.n + 2)))
        if kicks and self.n >= 5:
            self._kick_about(kicks)
        return [node - 1 for node in self.at[1:-1]]

    def _descend(self, queue: list[int]) -> float:
        """Improve the way around the queued nodes until no move helps; return the gain."""
        waiting = [False] * (self.n + 2)
        for node in queue:
            waiting[node] = True
        gained = 0.0
        head = 0
        while head < len(queue):
            node = queue[head]
            head += 1
            waiting[node] = False
            gain, touched = self._improve(node)
            while gain > 0.0:
                gained += gain
                for other in touched:
                    if not waiting[other]:
                        waiting[other] = True
                        queue.append(other)
                gain, touched = self._improve(node)
        return gained

    def _improve(self, node: int) -> tuple[float, tuple[int, ...]]:
        gain, touched = self._two_opt(node)
        return (gain, touched) if gain > 0.0 else self._or_opt(node)

    def _two_opt(self, a: int) -> tuple[float, tuple[int, ...]]:
        """Reverse a stretch so that node `a` gets a nearer neighbour after or before it."""
        at, place, gap = self.at, self.place, self.gap
        i = place[a]
        if i <= self.n:  # a -> b and c -> d become a -> c and b -> d
            b = at[i + 1]
            ab = gap(a, b)
            for c in self.near[a]:
                ac = gap(a, c)
                if ac >= ab:
                    break
                j = place[c]
                if j > self.n:
                    continue
                d = at[j + 1]
                gain = ab + gap(c, d) - ac - gap(b, d)
                if gain > _GAIN:
                    self._reverse(min(i, j) + 1, max(i, j))
                    return gain, (a, b, c, d)
        if i >= 1:  # b -> a and d -> c become b -> d and a -> c
            b = at[i - 1]
            ab = gap(a, b)
            for c in self.near[a]:
                ac = gap(a, c)
                if ac >= ab:
                    break
                j = place[c]
                if j < 1:
                    continue
                d = at[j - 1]
                gain = ab + gap(c, d) - ac - gap(b, d)
                if gain > _GAIN:
                    self._reverse(min(i, j), max(i, j) - 1)
                    return gain, (a, b, c, d)
        return 0.0, ()

    def _or_opt(self, a: int) -> tuple[float, tuple[int, ...]]:
        """Move a chain of up to three points that begins or ends with `a` next to a neighbour of `a`."""
        at, place, gap, n = self.at, self.place, self.gap, self.n
        i = place[a]
        if not 1 <= i <= n:
            return 0.0, ()
        for size in range(1, LONGEST_CHAIN + 1):
            for low, high in ((i, i + size - 1), (i - size + 1, i))[: min(size, 2)]:
                if low < 1 or high > n:
                    continue
                z = at[high] if low == i else at[low]  # the other end of the chain
                p, q = at[low - 1], at[high + 1]
                saved = gap(p, at[low]) + gap(at[high], q) - gap(p, q)
                if saved <= _GAIN:
                    continue
                for c in self.near[a]:
                    ac = gap(a, c)
                    if ac >= saved:
                        break
                    j = place[c]
                    if low <= j <= high:
                        continue
                    for d_place in (j + 1, j - 1):
                        if not 0 <= d_place <= n + 1 or low <= d_place <= high:
                            continue
                        d = at[d_place]
                        gain = saved - ac - gap(z, d) + gap(c, d)
                        if gain > _GAIN:
                            self._move(low, high, min(j, d_place), (z == at[high]) == (j < d_place))
                            return gain, (p, q, a, z, c, d)
        return 0.0, ()

    # --- changes ------------------------------------------------------------------------------------------

    def _renumber(self, low: int, high: int) -> None:
        place = self.place
        for k, node in enumerate(self.at[low : high + 1], low):
            place[node] = k

    def _reverse(self, low: int, high: int) -> None:
        self.at[low : high + 1] = self.at[low : high + 1][::-1]
        self._renumber(low, high)

    def _move(self, low: int, high: int, after: int, forward: bool) -> None:
        """Put the chain at places low to high between places `after` and `after` + 1, turned unless `forward`."""
        at = self.at
        chain = at[low : high + 1] if forward else at[low : high + 1][::-1]
        if after < low:
            at[after + 1 : high + 1] = chain + at[after + 1 : low]
            self._renumber(after + 1, high)
        else:
            at[low : after + 1] = at[high + 1 : after + 1] + chain
            self._renumber(low, after)

    # --- kicks --------------------------------------------------------------------------------------------

    def _kick_about(self, kicks: int) -> None:
        """Swap two neighbouring stretches at random places, mend, keep what got shorter."""
        draws = np.random.default_rng(_SEED)
        reach = min(LONGEST_SWAP, max(2, self.n // 2))
        firsts = draws.integers(0, max(1, self.n - 2), kicks).tolist()
        sizes = draws.integers(1, reach + 1, (kicks, 2)).tolist()
        for first, (one, two) in zip(firsts, sizes, strict=True):
            i = first
            j = min(i + one, self.n - 1)
            k = min(j + two, self.n)
            if not i < j < k:
                continue
            self._try_kick(i, j, k)

    def _try_kick(self, i: int, j: int, k: int) -> None:
        at, gap = self.at, self.gap
        a, b, c, d, e, f = at[i], at[i + 1], at[j], at[j + 1], at[k], at[k + 1]
        loss = gap(a, d) + gap(e, b) + gap(c, f) - gap(a, b) - gap(c, d) - gap(e, f)
        old_at, old_place = at[:], self.place[:]
        at[i + 1 : k + 1] = at[j + 1 : k + 1] + at[i + 1 : j + 1]
        self._renumber(i + 1, k)
        if self._descend([a, b, c, d, e, f]) <= loss + _GAIN:
            self.at, self.place = old_at, old_place
