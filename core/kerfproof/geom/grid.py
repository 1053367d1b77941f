"""Which boxes meet which: a grid of cells for many small boxes, a plain table for few."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Floats, Ints

FEW = 1 << 15
"""Up to this many pairs of boxes are compared one by one."""
_CELL = 0.7
"""Side of a cell as a share of the side of the square that there is for each box."""
_MOST = 24
"""Looks per box beyond which the boxes lie too unevenly for a grid."""


class Grid:
    """Boxes (m, 4) of xmin, ymin, xmax, ymax sorted into cells by their lower left corners.

    Boxes larger than two cells go to a coarser grid of their own, and so on.
    """

    __slots__ = ("_levels", "_size")

    def __init__(self, boxes: Floats) -> None:
        self._size = len(boxes)
        self._levels: list[_Level] = []
        width = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
        left = np.arange(len(boxes))
        while len(left):
            cell = _cell_of(boxes[left], width[left])
            small = width[left] <= 2 * cell
            self._levels.append(_Level(boxes[left[small]], left[small], cell))
            left = left[~small]

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


def _cell_of(boxes: Floats, width: Floats) -> float:
    """Return the side of the cells: about one box a cell, and half the boxes no larger than one."""
    count = len(boxes)
    span = np.ptp(boxes[:, :2], axis=0)
    even = max(float(np.sqrt(span[0] * span[1] / count)), float(span.max()) / count, 1e-9)
    return max(_CELL * even, float(np.partition(width, count // 2)[count // 2]))


class _Level:
    """Boxes of one size class in their cells, row by row; `number` is their place in the whole."""

    __slots__ = ("cell", "columns", "counts", "low", "number", "reach", "start")

    def __init__(self, boxes: Floats, number: Ints, cell: float) -> None:
        self.cell = cell
        self.low = boxes[:, :2].min(axis=0)
        place = ((boxes[:, :2] - self.low) / cell).astype(np.int64)
        self.counts = place.max(axis=0) + 1
        key = place[:, 1] * self.counts[0] + place[:, 0]
        order = np.argsort(key, kind="stable")
        self.number = number[order]
        self.start = np.zeros(int(self.counts[0] * self.counts[1]) + 1, dtype=np.int64)
        np.cumsum(np.bincount(key, minlength=len(self.start) - 1), out=self.start[1:])
        self.columns = np.ascontiguousarray(boxes[order].T)
        widest = float(np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]).max())
        # A little more than the widest box, so that rounding loses none.
        self.reach = widest + 1e-6 * cell + 8 * float(np.spacing(np.abs(boxes).max()))

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
        first, last = self.start[row * nx + left[i]], self.start[row * nx + right[i]]
        if int((last - first).sum()) > most:
            return None
        k, place = _runs(first, last)
        i = i[k]
        u0, v0, u1, v1 = self.columns
        meet = (x0[i] <= u1[place]) & (x1[i] >= u0[place])
        i, place = i[meet], place[meet]
        meet = (y0[i] <= v1[place]) & (y1[i] >= v0[place])
        return i[meet], self.number[place[meet]]

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
