"""The rows of a trace while it is being made: lists that grow, turned into arrays at the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain

import numpy as np

from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.motion.trace import Change, Probed, StartState, Step, Trace, Unread

MOST_UNREAD = 5000
"""Beyond this many entries the rest is only counted: a file that is no program would fill the memory."""
_SAME_PLACE = 1e-9


class Recorder:
    """Columns of a trace. What changes seldom is kept as (row, value) from that row on."""

    def __init__(self, start: StartState) -> None:
        self.start = start
        self.kinds: list[int] = []
        self.lines: list[int] = []
        self.xs: list[float] = []
        self.ys: list[float] = []
        self.zs: list[float] = []
        self.texts: list[str] = []
        self.arcs: list[int] = []
        """The rows of arcs, with their centres and 1 to the left or -1 to the right in the next three."""
        self.center_xs: list[float] = []
        self.center_ys: list[float] = []
        self.turns: list[float] = []
        self.feeds: list[tuple[int, float]] = [(0, start.feed_mm_min)]
        self.torches: list[tuple[int, float]] = [(0, float(start.torch))]
        self.origins: list[tuple[int, float]] = [(0, start.offset[2] + start.shift[2])]
        self.datums: list[tuple[int, float]] = [(0, -1.0)]
        self.values: list[tuple[int, float]] = []
        self.jumps: list[tuple[int, tuple[float, float, float]]] = []
        """Rows that start elsewhere than where the row before ended."""
        self.probes: list[tuple[int, Probed]] = []
        self.unread: list[Unread] = []
        self.unlisted = 0
        self.given_up = 0
        """The line behind which nothing was read for the number of mistakes, 0 if there is none."""
        self.changes: list[Change] = []
        self.comments: list[tuple[int, str]] = []

    def note(self, line: int, column: int, text: str, reason: str, error: bool) -> None:
        """Record text that could not be read or done."""
        if len(self.unread) < MOST_UNREAD:
            shown = text.strip()
            self.unread.append(Unread(line, column, shown if len(shown) <= 80 else f"{shown[:77]}...", reason, error))
        else:
            self.unlisted += 1

    def trace(self, modes: Mapping[str, str], stopped: Unread | None, lines: int) -> Trace:
        """Return all that was recorded."""
        kind = np.fromiter(self.kinds, np.int64, len(self.kinds))
        end = np.empty((len(kind), 3))
        for axis, places in enumerate((self.xs, self.ys, self.zs)):
            end[:, axis] = places
        begin = self._begin(end)
        center, sweep, gap = self._arcs(begin, end)
        feed = np.where(np.isin(kind, (Step.FEED, Step.ARC, Step.PROBE)), self._filled(self.feeds), 0.0)
        value = np.zeros(len(kind))
        if self.values:
            given = _table(self.values)
            value[given[:, 0].astype(np.int64)] = given[:, 1]
        return Trace(
            kind=kind,
            line=np.fromiter(self.lines, np.int64, len(self.lines)),
            start=begin,
            end=end,
            center=center,
            sweep=sweep,
            feed=feed,
            torch=self._torch(),
            seconds=np.where(kind == Step.DWELL, value, _seconds(begin, end, center, sweep, feed)),
            frame_z=self._frame_z(begin, end),
            datum=self._filled(self.datums).astype(np.int64),
            radius_gap=gap,
            value=value,
            text=tuple(self.texts),
            unread=self._all_unread(lines),
            changes=tuple(self.changes),
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

    def _filled(self, changes: list[tuple[int, float]]) -> Floats:
        """Return a column from the rows at which its value changes."""
        if not self.kinds:
            return np.empty(0)
        rows, values = _table(changes).T
        return np.asarray(values[np.searchsorted(rows, np.arange(len(self.kinds)), side="right") - 1])

    def _torch(self) -> Bools:
        return np.asarray(self._filled(self.torches) > 0)

    def _frame_z(self, begin: Floats, end: Floats) -> Floats:
        after = self._filled(self.origins)
        before = np.concatenate([[self.origins[0][1]], after[:-1]])[: len(after)]
        return np.column_stack([begin[:, 2] - before, end[:, 2] - after])

    def _arcs(self, begin: Floats, end: Floats) -> tuple[Floats, Floats, Floats]:
        n = len(end)
        center, sweep, gap = np.zeros((n, 2)), np.zeros(n), np.zeros(n)
        if self.arcs:
            rows: Ints = np.array(self.arcs, dtype=np.int64)
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


def _table(rows: Sequence[tuple[float, ...]]) -> Floats:
    """Return rows of equal length, one at least, as an array."""
    width = len(rows[0])
    return np.fromiter(chain.from_iterable(rows), np.float64, width * len(rows)).reshape(-1, width)


def row_lengths(begin: Floats, end: Floats, center: Floats, sweep: Floats) -> Floats:
    """Return the length of each row's motion (n,), helices along the helix."""
    move = end - begin
    radius = np.hypot(begin[:, 0] - center[:, 0], begin[:, 1] - center[:, 1])
    flat = np.where(sweep != 0.0, radius * np.abs(sweep), np.hypot(move[:, 0], move[:, 1]))
    return np.hypot(flat, move[:, 2])


def _seconds(begin: Floats, end: Floats, center: Floats, sweep: Floats, feed: Floats) -> Floats:
    fed = feed > 0
    return np.where(fed, row_lengths(begin, end, center, sweep) * 60.0 / np.where(fed, feed, 1.0), 0.0)
