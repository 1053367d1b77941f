"""The rows of a trace while it is being made: lists that grow, turned into arrays at the end."""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum
from itertools import chain

import numpy as np

from kerfproof.gcode.trace import Changes, Probed, StartState, Step, Trace, Unread, row_lengths
from kerfproof.geom.path import Floats, Ints
from kerfproof.sentence import Phrase

MOST_UNREAD = 5000
"""Beyond this many entries the rest is only counted: a file that is no program would fill the memory."""
_SAME_PLACE = 1e-9


class Mark(IntEnum):
    """What changes seldom, kept as (row, mark, value): its value from that row on, or in that row alone."""

    FEED = 0
    TORCH = 1
    ORIGIN = 2
    DATUM = 3
    VALUE = 4


class Recorder:
    """Columns of a trace, which grow by one entry a row; what changes seldom is noted only where it does."""

    def __init__(self, start: StartState) -> None:
        self.start = start
        self.kinds: list[int] = []
        self.lines: list[int] = []
        self.xs: list[float] = []
        self.ys: list[float] = []
        self.zs: list[float] = []
        self.texts: list[str] = []
        self.center_xs: list[float] = []
        self.center_ys: list[float] = []
        self.turns: list[float] = []
        """Of the rows that are arcs: 1 to the left, -1 to the right."""
        self.marks: list[tuple[int, int, float]] = [
            (0, Mark.FEED, start.feed_mm_min),
            (0, Mark.TORCH, float(start.torch)),
            (0, Mark.ORIGIN, start.offset[2] + start.shift[2]),
            (0, Mark.DATUM, -1.0),
        ]
        self.jumps: list[tuple[int, tuple[float, float, float]]] = []
        """Rows that start elsewhere than where the row before ended."""
        self.probes: list[tuple[int, Probed]] = []
        self.unread: list[Unread] = []
        self.unlisted = 0
        self.given_up = 0
        """The line behind which nothing was read for the number of mistakes, 0 if there is none."""
        self.change_lines: list[int] = []
        self.change_words: list[tuple[str, str]] = []
        """Group and word of each change."""
        self.comments: list[tuple[int, str]] = []

    def change(self, line: int, group: str, word: str) -> None:
        """Record that a word set a state."""
        self.change_lines.append(line)
        self.change_words.append((group, word))

    def note(self, line: int, column: int, text: str, told: Phrase, error: bool) -> None:
        """Record text that could not be read or done."""
        if len(self.unread) < MOST_UNREAD:
            shown = text.strip()
            self.unread.append(Unread(line, column, shown if len(shown) <= 80 else f"{shown[:77]}...", told, error))
        else:
            self.unlisted += 1

    def trace(self, modes: Mapping[str, str], stopped: Unread | None, lines: int) -> Trace:
        """Return all that was recorded."""
        n = len(self.kinds)
        kind = np.fromiter(self.kinds, np.int64, n)
        line = np.fromiter(self.lines, np.int64, n)
        end = np.column_stack([np.fromiter(places, np.float64, n) for places in (self.xs, self.ys, self.zs)])
        marks = np.fromiter(chain.from_iterable(self.marks), np.float64, 3 * len(self.marks)).reshape(-1, 3)
        held = {mark: marks[marks[:, 1] == mark][:, ::2] for mark in Mark}
        begin = self._begin(end)
        center, sweep, gap = self._arcs(np.flatnonzero(kind == Step.ARC), begin, end)
        feed = np.where(np.isin(kind, (Step.FEED, Step.ARC, Step.PROBE)), _filled(held[Mark.FEED], n), 0.0)
        value = np.zeros(n)
        value[held[Mark.VALUE][:, 0].astype(np.int64)] = held[Mark.VALUE][:, 1]
        return Trace(
            kind=kind,
            line=line,
            start=begin,
            end=end,
            center=center,
            sweep=sweep,
            feed=feed,
            torch=_filled(held[Mark.TORCH], n) > 0,
            seconds=np.where(kind == Step.DWELL, value, _seconds(begin, end, center, sweep, feed)),
            frame_z=_frame_z(begin, end, _filled(held[Mark.ORIGIN], n), held[Mark.ORIGIN][0, 1]),
            datum=_filled(held[Mark.DATUM], n).astype(np.int64),
            radius_gap=gap,
            value=value,
            text=tuple(self.texts),
            unread=self._all_unread(lines),
            changes=Changes(self.change_lines, self.change_words),
            modes=dict(modes),
            stopped=stopped,
            comments=tuple(self.comments),
            xy_origin=(self.start.offset[0] + self.start.shift[0], self.start.offset[1] + self.start.shift[1]),
            probes=tuple(self.probes),
            lines=lines,
        )

    def _begin(self, end: Floats) -> Floats:
        begin = np.vstack([self.start.position, end[:-1]]) if len(end) else np.empty((0, 3))
        for row, place in self.jumps:
            if row < len(begin):
                begin[row] = place
        return begin

    def _arcs(self, rows: Ints, begin: Floats, end: Floats) -> tuple[Floats, Floats, Floats]:
        n = len(end)
        center, sweep, gap = np.zeros((n, 2)), np.zeros(n), np.zeros(n)
        if len(rows):
            c, turn = np.column_stack([self.center_xs, self.center_ys]), np.array(self.turns)
            p, q = begin[rows, :2] - c, end[rows, :2] - c
            angle = (np.arctan2(q[:, 1], q[:, 0]) - np.arctan2(p[:, 1], p[:, 0])) * turn % (2 * np.pi)
            whole = np.hypot(*(q - p).T) < _SAME_PLACE
            center[rows] = c
            sweep[rows] = np.where(whole | (angle == 0.0), 2 * np.pi, angle) * turn
            gap[rows] = np.hypot(p[:, 0], p[:, 1]) - np.hypot(q[:, 0], q[:, 1])
        return center, sweep, gap

    def _all_unread(self, lines: int) -> tuple[Unread, ...]:
        if not self.unlisted:
            return tuple(self.unread)
        reason = f"{self.unlisted} more mistakes are not listed"
        reason += f", and nothing behind line {self.given_up} was read" if self.given_up else ""
        return (*self.unread, Unread(lines, 1, "", reason, True))


def _filled(held: Floats, n: int) -> Floats:
    """Return a column (n,) from the rows at which its value changes."""
    rows, values = held.T
    return np.repeat(values, np.diff(rows.astype(np.int64), append=n))


def _frame_z(begin: Floats, end: Floats, after: Floats, first: float) -> Floats:
    before = np.append(first, after)[: len(after)]
    return np.column_stack([begin[:, 2] - before, end[:, 2] - after])


def _seconds(begin: Floats, end: Floats, center: Floats, sweep: Floats, feed: Floats) -> Floats:
    fed = feed > 0
    return np.where(fed, row_lengths(begin, end, center, sweep) * 60.0 / np.where(fed, feed, 1.0), 0.0)
