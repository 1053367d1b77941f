"""Rows recorded once that come again elsewhere: only where is noted, what they hold follows for all of them at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np

from kerfproof.geom.path import Floats, Ints


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """What some lines that keep their place in the plane recorded: columns of a recorder.

    Rows, lines and shifts of the Z frame count from 0.
    """

    kinds: list[int]
    lines: list[int]
    zs: list[float]
    texts: list[str]
    marks: list[tuple[int, int, float]]
    change_lines: list[int]
    change_words: list[tuple[str, str]]


class Copies:
    """Where things recorded come again."""

    def __init__(self) -> None:
        self._recorded: dict[Recorded, int] = {}
        self._where: list[tuple[float, ...]] = []

    def __len__(self) -> int:
        return len(self._where)

    def add(
        self, recorded: Recorded, row: int, mark: int, change: int, line: int, x: float, y: float, datums: int
    ) -> None:
        """Note where something comes again: what is before it of rows, marks, changes, lines, and shifts of Z."""
        number = self._recorded.setdefault(recorded, len(self._recorded))
        self._where.append((number, row, mark, change, line, x, y, datums))

    def spread(self) -> Spread:
        """Return what all copies hold."""
        return Spread(list(self._recorded), table(self._where))


class Spread:
    """What copies hold, row by row and mark by mark."""

    def __init__(self, recorded: list[Recorded], where: Floats) -> None:
        row, mark, change, line, x, y, datums = where[:, 1:].T
        once, owner, within = _ragged([len(r.kinds) for r in recorded], where[:, 0])
        self.rows = row[owner].astype(np.int64) + within
        """The number of each row in the trace; its line, end and text are the next three."""
        self.lines = line[owner].astype(np.int64) + np.array(_all(r.lines for r in recorded), dtype=np.int64)[once]
        self.ends = np.column_stack([x[owner], y[owner], np.array(_all(r.zs for r in recorded))[once]])
        self.texts = np.array(_all(r.texts for r in recorded), dtype=np.object_)[once]
        _, owner, within = _ragged([len(r.marks) for r in recorded], where[:, 0])
        self.marks = mark[owner].astype(np.int64) + within
        """The number of each mark among all, and how many rows and shifts of the Z frame come before its copy."""
        self.rows_before, self.datums_before = row[owner], datums[owner]
        _, owner, within = _ragged([len(r.change_lines) for r in recorded], where[:, 0])
        self.changes = change[owner].astype(np.int64) + within
        """The number of each change among all, and how many lines come before its copy."""
        self.lines_before = line[owner].astype(np.int64)


def table(rows: Sequence[tuple[float, ...]]) -> Floats:
    """Return rows of equal length, one at least, as an array."""
    width = len(rows[0])
    return np.fromiter(chain.from_iterable(rows), np.float64, width * len(rows)).reshape(-1, width)


def _all(columns: Iterable[list[Any]]) -> list[Any]:
    return list(chain.from_iterable(columns))


def _ragged(counts: Sequence[int], which: Floats) -> tuple[Ints, Ints, Ints]:
    """Return pieces of a column one behind the other, the lengths of its pieces being `counts`.

    Of each value returned: its place in the column, the number of its piece among `which`, its place in the piece.
    """
    number, many = which.astype(np.int64), np.array(counts, dtype=np.int64)
    length = many[number]
    owner = np.repeat(np.arange(len(number)), length)
    within = np.arange(len(owner)) - (np.cumsum(length) - length)[owner]
    return (np.cumsum(many) - many)[number][owner] + within, owner, within
