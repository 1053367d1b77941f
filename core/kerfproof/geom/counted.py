"""Rows that stand for several things each, written out: one row for each thing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


def counted(counts: Ints) -> tuple[Ints, Ints]:
    """Return for `counts` things in each row the row of each thing, and its number in that row from 0."""
    row = np.repeat(np.arange(len(counts)), counts)
    return row, np.arange(len(row)) - np.repeat(np.cumsum(counts) - counts, counts)


def ranges(low: Ints, high: Ints) -> tuple[Ints, Ints]:
    """Return all numbers from each `low` to before its `high`: the row that each belongs to, and the number."""
    row, number = counted(high - low)
    return row, low[row] + number
