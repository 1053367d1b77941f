"""Which boxes meet which: a grid of cells for many small boxes, a plain table for few."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from kerfproof.geom.path import Floats, Ints

FEW = 1 << 15
"""Up to this many pairs of boxes are compared one by one."""
_CHUNK = 1 << 15
"""So many looks at once stay within the processor's cache."""
_CELL = 0.7
"""Side of a cell as a share of the side of the square that there is for each box."""
_MOST = 24
"""Looks per box beyond which the boxes lie too unevenly for a grid."""


class Grid:
    """Boxes (m, 4) of xmin, ymin, xmax, ymax sorted into cells by their lower left corners.

    Boxes larger than a cell go to a coarser grid of their own, and so on.
    """

    __slots__ = ("_levels", "_size")

    def __init__(self, boxes: Floats) -> None:
        self._size = len(boxes)
        self._levels: list[_Level] = []
        left, columns = np.arange(len(boxes)), np.ascontiguousarray(boxes.T)
        while len(left):
            width = np.maximum(columns[2] - columns[0], columns[3] - columns[1])
            cell = _cell_of(columns, width)
            large = width > cell
            small, rest = np.flatnonzero(~large), np.flatnonzero(large)
            self._levels.append(_Level(columns.take(small, axis=1), left.take(small), cell))
            left, columns = left.take(rest), columns.take(rest, axis=1)

    def pairs(self, asked: Floats) -> tuple[Ints, Ints] | None:
        """Return (i, j): box `i` of `asked` (k, 4) meets box `j`; sorted. None where a grid is the wrong way."""
        columns = np.ascontiguousarray(asked.T)
        found = []
        for level in self._levels:
            pairs = level.pairs(columns)
            if pairs is None:
                return None
            found.append(pairs)
        return _sorted(np.concatenate([i for i, _ in found]), np.concatenate([j for _, j in found]), self._size)


def few_pairs(asked: Floats, boxes: Floats) -> tuple[Ints, Ints]:
    """Return (i, j) as `Grid.pairs` by comparing each with each."""
    a, b = asked.T[:, :, None], boxes.T[:, None, :]
    meet = (a[0] <= b[2]) & (a[2] >= b[0]) & (a[1] <= b[3]) & (a[3] >= b[1])
    i, j = np.nonzero(meet)
    return i.astype(np.int64, copy=False), j.astype(np.int64, copy=False)


def _cell_of(columns: Floats, width: Floats) -> float:
    """Return the side of the cells: about one box a cell, and half the boxes no larger than one."""
    count = len(width)
    span = np.ptp(columns[0]), np.ptp(columns[1])
    even = max(float(np.sqrt(span[0] * span[1] / count)), float(max(span)) / count, 1e-9)
    return max(_CELL * even, float(np.partition(width, count // 2)[count // 2]))


class _Level:
    """Boxes of one size class, as columns (4, m), in their cells, row by row; `number` is their place in the whole.

    Columns are read one by one: of an array of two columns a minimum takes many times as long.
    """

    __slots__ = ("cell", "columns", "counts", "low", "number", "reach", "start")

    def __init__(self, columns: Floats, number: Ints, cell: float) -> None:
        self.cell = cell
        self.low = columns[0].min(), columns[1].min()
        column, row = (((columns[axis] - self.low[axis]) / cell).astype(np.int64) for axis in (0, 1))
        self.counts = int(column.max()) + 1, int(row.max()) + 1
        key = row * self.counts[0] + column
        order = np.argsort(key, kind="stable")
        self.number = number.take(order)
        self.start = np.zeros(self.counts[0] * self.counts[1] + 1, dtype=np.int64)
        np.cumsum(np.bincount(key, minlength=len(self.start) - 1), out=self.start[1:])
        self.columns = columns.take(order, axis=1)
        widest = float(np.maximum(columns[2] - columns[0], columns[3] - columns[1]).max())
        # A little more than the widest box, so that rounding loses none.
        self.reach = widest + 1e-6 * cell + 8 * float(np.spacing(np.abs(columns).max()))

    def pairs(self, asked: Floats) -> tuple[Ints, Ints] | None:
        """Return (i, j) of boxes that meet, in no order, None if there would be too many looks."""
        x0, y0, x1, y1 = asked
        nx, ny = self.counts
        left, right = self._cells(x0 - self.reach, 0, 0, nx), self._cells(x1, 0, 1, nx)
        lower, upper = self._cells(y0 - self.reach, 1, 0, ny), self._cells(y1, 1, 1, ny)
        upper = np.where(right > left, np.maximum(upper, lower), lower)
        most = _MOST * (len(x0) + len(self.number)) + FEW
        if int((upper - lower).sum()) > most:
            return None
        i, row = _runs(lower, upper)
        row *= nx
        first, last = self.start.take(row + left.take(i)), self.start.take(row + right.take(i))
        if int((last - first).sum()) > most:
            return None
        looks = np.cumsum(last - first)
        cuts = np.searchsorted(looks, np.arange(_CHUNK, int(looks[-1]) if len(looks) else 0, _CHUNK)).tolist()
        parts = [slice(*cut) for cut in pairwise([0, *cuts, len(i)])]
        found = [self._meeting(asked, i[part], first[part], last[part]) for part in parts]
        return np.concatenate([k for k, _ in found]), np.concatenate([j for _, j in found])

    def _meeting(self, asked: Floats, i: Ints, first: Ints, last: Ints) -> tuple[Ints, Ints]:
        """Return (i, j): boxes that meet of those to look at, from `first` up to `last` for each of `i`."""
        x0, y0, x1, y1 = asked
        u0, v0, u1, v1 = self.columns
        k, place = _runs(first, last)
        i = i.take(k)
        for low, high, least, most in ((x0, x1, u0, u1), (y0, y1, v0, v1)):
            meet = np.flatnonzero((low.take(i) <= most.take(place)) & (high.take(i) >= least.take(place)))
            i, place = i.take(meet), place.take(meet)
        return i, self.number.take(place)

    def _cells(self, values: Floats, axis: int, after: int, count: int) -> Ints:
        """Return the column (axis 0) or row (1) of each value plus `after`, within 0 to `count`."""
        # fmin and fmax: a value that is no number becomes a cell like any other, and meets nothing there.
        cells: Ints = np.fmin(np.fmax((values - self.low[axis]) / self.cell + after, 0), count).astype(np.int64)
        return cells


def _runs(first: Ints, last: Ints) -> tuple[Ints, Ints]:
    """Return all numbers from `first` up to `last` of each run, and which run each is of: (run, number)."""
    counts = last - first
    run = np.repeat(np.arange(len(counts)), counts)
    return run, np.arange(len(run)) + np.repeat(first - (np.cumsum(counts) - counts), counts)


def _sorted(i: Ints, j: Ints, size: int) -> tuple[Ints, Ints]:
    key = np.sort(i * size + j)
    i = key // size
    return i, key - i * size
