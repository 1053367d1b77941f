"""A program read again after a change: what stands before the change and behind it is taken from the last reading.

A reading notes all of its state every few thousand lines. A text that begins as the last one did goes on from the last
such stop before the first difference. Where it comes, behind the last difference, to a stop of the last reading in the
very state of that time, the rest went as it went then and is taken from there. States are compared as written out, to
the last bit, so the trace is the one that a reading from nothing gives.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import deepcopy
from dataclasses import dataclass, replace
from operator import add, sub
from typing import Any, NamedTuple, Protocol

import numpy as np

from kerfproof.gcode.reader.control import Control
from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.gcode.reader.recorder import MOST_UNREAD, Recorder
from kerfproof.gcode.trace import Trace

_NOT_STATE = {"start", "rows", "language", "dialect", "world", "line"}
"""Of a control: what is the same in every reading, or is set before it is used."""
_FLAGS = ("seen_text", "percent", "told_block_delete")
_COLUMNS = (
    *("kind", "line", "start", "end", "center", "sweep", "feed", "torch", "seconds", "frame_z", "datum"),
    *("radius_gap", "value"),
)


class Place(NamedTuple):
    """A place between two lines of a text: how many characters and lines are before it."""

    character: int
    lines: int


class Reading(Protocol):
    """What reads: its control, what it has recorded, and what it remembers itself."""

    control: Control
    rows: Recorder
    seen_text: bool
    percent: int
    told_block_delete: bool


class _Behind(NamedTuple):
    """How much lies behind a stop: characters, lines, entries of a trace."""

    characters: int = 0
    lines: int = 0
    rows: int = 0
    probes: int = 0
    changes: int = 0
    comments: int = 0
    unread: int = 0

    def moved(self, before: _Behind, now: _Behind) -> _Behind:
        """Return this as much further on as `now` is from `before`."""
        return _Behind(*map(add, self, map(sub, now, before)))


@dataclass(frozen=True, slots=True)
class Stop:
    """A reading between two lines: what lies behind it, and its state, also written out."""

    behind: _Behind
    state: dict[str, Any]
    flags: tuple[Any, ...]
    written: str


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """A text that was read to its end."""

    text: str
    trace: Trace
    searches: list[Any]
    stops: list[Stop]


class LastRead:
    """The last text that was read, for readings by the same control, from the same start, in the same world."""

    __slots__ = ("read",)

    def __init__(self) -> None:
        self.read: _Read | None = None


class Again:
    """One reading beside the last one.

    `searches` is the list that the world keeps of its answers to probing moves, one for each; the next answer must
    depend on the last of them alone.
    """

    def __init__(self, memory: LastRead, searches: list[Any]) -> None:
        self._memory, self._searches = memory, searches
        self._last = memory.read
        self._before = _Behind()
        """What was taken from the last reading in front of what is read now."""
        self._stops: list[Stop] = []
        self._joined: tuple[_Behind, _Behind] | None = None
        """A place of the last reading, and that of this one from which on it goes the same way."""

    def begin(self, reading: Reading, text: str) -> tuple[Place, dict[int, Stop]]:
        """Put a reading that has not begun at the last stop before any difference.

        Returned are this place, and by character the stops of the last reading behind all differences.
        """
        last = self._last
        if last is None:
            return Place(0, 0), {}
        shared = 0
        for stop in last.stops:
            at = stop.behind.characters
            if not text.startswith(last.text[shared:at], shared):
                break
            shared = at
            self._stops.append(stop)
        if self._stops:
            self._go_on(reading, self._stops[-1], last)
        return Place(shared, self._before.lines), _meetings(last, text, shared)

    def _go_on(self, reading: Reading, stop: Stop, last: _Read) -> None:
        control, rows = reading.control, reading.rows
        for name, value in deepcopy(stop.state).items():
            setattr(control, name, value)
        for name, value in zip(_FLAGS, stop.flags, strict=True):
            setattr(reading, name, value)
        rows.go_on(control.place, control.feed, control.torch, control.oz, control.datum)
        rows.comments += last.trace.comments[: stop.behind.comments]
        rows.unread += last.trace.unread[: stop.behind.unread]
        self._searches += last.searches[: stop.behind.probes]
        self._before = stop.behind

    def meets(self, reading: Reading, at: Place, met: Stop | None) -> bool:
        """Note the state of a reading at a place; return whether the rest goes as it went from a stop `met` there."""
        control, rows = reading.control, reading.rows
        if not (met or at.lines):
            return False
        state = {name: deepcopy(value) for name, value in vars(control).items() if name not in _NOT_STATE}
        flags = tuple(getattr(reading, name) for name in _FLAGS)
        known = control.parameters
        said = {**state, "parameters": (sorted(known.values.items()), known.stale)}
        behind = _Behind(
            *at,
            self._before.rows + len(rows.kinds),
            self._before.probes + len(rows.probes),
            self._before.changes + len(rows.change_lines),
            len(rows.comments),
            len(rows.unread),
        )
        stop = Stop(behind, state, flags, repr((said, flags, self._searches[-1:])))
        if met and self._last and met.written == stop.written:
            if behind.unread + len(self._last.trace.unread) - met.behind.unread <= MOST_UNREAD:
                self._joined = met.behind, behind
                return True
        if at.lines > self._before.lines:
            self._stops.append(stop)
        return False

    def whole(self, text: str, read: Trace, *, complete: bool) -> Trace:
        """Return the trace of all the text from that of what was read; it is held if it is `complete`."""
        trace, last = read, self._last
        if last is not None:
            trace = _spliced(last.trace, self._before, read, self._joined)
        if last is not None and self._joined is not None:
            met, now = self._joined
            later = [replace(s, behind=s.behind.moved(met, now)) for s in last.stops if s.behind.lines >= met.lines]
            self._stops += [stop for stop in later if stop.behind.lines > self._before.lines]
            self._searches += last.searches[met.probes :]
        self._memory.read = _Read(text, trace, list(self._searches), self._stops) if complete else None
        return trace


def chunks(text: str, at: Place, ends: Iterable[int], count: int) -> Iterator[tuple[Place, list[str]]]:
    """Give the lines of a text from a place on, about `count` at a time; never those from two sides of an end."""
    for end in (*ends, len(text)):
        lines, first = lines_of(text[at.character : end]), 0
        while first < len(lines):
            some = lines[first : first + count] if len(lines) - first > count * 9 // 8 else lines[first:]
            yield at, some
            first += len(some)
            at = Place(at.character + sum(map(len, some)) + len(some), at.lines + len(some))


def _meetings(last: _Read, text: str, first: int) -> dict[int, Stop]:
    """Return the stops from which on a text is as it was, by their character in it, in order, from `first` on."""
    found: dict[int, Stop] = {}
    moved, behind = len(text) - len(last.text), len(last.text)
    for stop in reversed(last.stops):
        at = stop.behind.characters
        now = at + moved
        if now < first or not text.startswith(last.text[at:behind], now) or text[now - 1 : now] not in ("", "\n"):
            break
        found[now] = stop
        behind = at
    return dict(reversed(found.items()))


def _spliced(last: Trace, before: _Behind, read: Trace, joined: tuple[_Behind, _Behind] | None) -> Trace:
    """Return the trace of what was taken over in front, read, and taken over behind."""
    end = _Behind(0, 0, len(last), len(last.probes), len(last.changes), len(last.comments), len(last.unread))
    rest, now = joined or (end, end)
    by_lines, by_rows = now.lines - rest.lines, now.rows - rest.rows
    columns: dict[str, Any] = {
        name: np.concatenate([old[: before.rows], new, old[rest.rows :]])
        for name, old, new in ((name, getattr(last, name), getattr(read, name)) for name in _COLUMNS)
    }
    columns["line"][len(columns["line"]) - (len(last) - rest.rows) :] += by_lines
    ended = last if joined else read
    stopped = ended.stopped
    return replace(
        read,
        **columns,
        text=last.text[: before.rows] + read.text + last.text[rest.rows :],
        unread=read.unread + tuple(replace(u, line=u.line + by_lines) for u in last.unread[rest.unread :]),
        changes=last.changes.spliced(before.changes, read.changes, rest.changes, by_lines),
        modes=ended.modes,
        stopped=replace(stopped, line=stopped.line + by_lines) if stopped and joined else stopped,
        comments=read.comments + tuple((line + by_lines, said) for line, said in last.comments[rest.comments :]),
        probes=(
            *last.probes[: before.probes],
            *((row + before.rows, probed) for row, probed in read.probes),
            *((row + by_rows, probed) for row, probed in last.probes[rest.probes :]),
        ),
    )
