"""A long program with most of its like pierce blocks left out, to be played many times.

The blocks that stay are the first two, a middle one and the last ones, and one of each kind. Blocks are of one kind
where their lines are the same but for plain moves in the plane, and begin in the same modes: on whatever table they are
played, they do the same at another place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Bools, Ints
from kerfproof.proof.evidence.evidence import Evidence

FEW = 6
"""Programs with no more runs than this are played whole."""

_MODES = ("units", "plane", "distance", "feed_mode", "compensation", "length", "system", "arc_center", "retract")


@dataclass(frozen=True, slots=True)
class Excerpt:
    """A text to play, and the numbers (from 1) in the whole program of its lines."""

    text: str
    lines: tuple[int, ...]

    def line(self, number: int | None) -> int | None:
        """Return the line number in the whole program."""
        if number is None or not 0 < number <= len(self.lines):
            return None
        return self.lines[number - 1]


@dataclass(frozen=True, slots=True)
class Short(Excerpt):
    """A program as it is played on other tables.

    `runs` are the runs that stand in it, `ends` how many lines of it there are up to the end of each one's block,
    `kinds` those (counted from 0 in `runs`) that are the first of their kind, `repeats` others at which to try faults.
    """

    runs: tuple[int, ...]
    ends: tuple[int, ...]
    kinds: tuple[int, ...]
    repeats: tuple[int, ...]

    def through(self, run: int) -> Excerpt:
        """Return the text up to the end of the block of a run, counted from 0 in `runs`."""
        return self._taken([(0, self.ends[run])])

    def beside(self, run: int, stop: int) -> Excerpt:
        """Return the text of the first block, and of the block of another run its lines up to line `stop`."""
        return self._taken([(0, self.ends[0]), (self.ends[run - 1], stop)])

    def _taken(self, spans: Sequence[tuple[int, int]]) -> Excerpt:
        lines = self.text.split("\n")
        taken = [k for first, stop in spans for k in range(first, stop)]
        return Excerpt("\n".join([lines[k] for k in taken]) + "\n", tuple(self.lines[k] for k in taken))


def shorten(evidence: Evidence) -> Short:
    """Return a program short enough to be played many times."""
    n = len(evidence.runs)
    starts = _block_starts(evidence)
    kinds = _first_of_kind(evidence, starts)
    if n <= FEW:
        return _whole(evidence, starts, kinds)
    kept = {0, 1, n // 2, n - 2, n - 1, *kinds}
    gone = np.zeros(len(evidence.lines), dtype=np.bool_)
    for run in range(n):
        gone[starts[run] : starts[run + 1]] = run not in kept
    return _picked(evidence, starts, ~gone, sorted(kept), kinds)


def whole(evidence: Evidence) -> Short:
    """Return the program as it is."""
    starts = _block_starts(evidence)
    return _whole(evidence, starts, _first_of_kind(evidence, starts))


def _whole(evidence: Evidence, starts: list[int], kinds: list[int]) -> Short:
    every = np.ones(len(evidence.lines), dtype=np.bool_)
    return _picked(evidence, starts, every, range(len(evidence.runs)), kinds)


def _picked(evidence: Evidence, starts: list[int], stays: Bools, runs: Sequence[int], kinds: list[int]) -> Short:
    lines, n = np.flatnonzero(stays), len(evidence.runs)
    text = "\n".join(map(evidence.lines.__getitem__, lines.tolist())) + "\n"
    before = np.concatenate([[0], np.cumsum(stays)])
    ends = tuple(int(before[starts[run + 1]]) for run in runs)
    first = set(kinds)
    tried = tuple(k for k, run in enumerate(runs) if run in first)
    repeats = tuple(k for k, run in enumerate(runs) if run in {n // 2, n - 1} - first)
    return Short(text, tuple((lines + 1).tolist()), tuple(runs), ends, tried, repeats)


def _block_starts(evidence: Evidence) -> list[int]:
    """Return the line index at which each run's block begins, and the one at which the last run's ends.

    A block begins with the raise after the run before: how high it goes is a matter of the way to its own pierce.
    """
    trace = evidence.trace
    loud = np.flatnonzero(trace.kind != Step.DWELL)
    starts = [0]
    for run in evidence.runs:
        after = np.searchsorted(loud, run.last_row + 1)
        row = int(loud[after]) if after < len(loud) else len(trace)
        starts.append(int(trace.line[row - 1]))  # the line after that of the run or its last dwell, as an index
    starts[0] = 0
    return starts


def _first_of_kind(evidence: Evidence, starts: list[int]) -> list[int]:
    """Return the first run of each kind of block."""
    n = len(evidence.runs)
    if not n:
        return []
    told = _told(evidence)
    said = np.flatnonzero(told >= 0)
    begins = np.searchsorted(said, starts)
    words = told[said]
    stays = words > 0
    stays[1:] |= words[:-1] > 0
    stays[begins[begins < len(words)]] = True
    counted = np.concatenate([[0], np.cumsum(stays)])[begins].tolist()
    words, modes = words[stays], _modes_at(evidence, starts[:n])
    seen: dict[tuple[bytes, bytes], int] = {}
    for run in range(n):
        seen.setdefault((words[counted[run] : counted[run + 1]].tobytes(), modes[run].tobytes()), run)
    return list(seen.values())


def _told(evidence: Evidence) -> Ints:
    """Return a number for what each line says: -1 for nothing, 0 for a plain move, which are all alike here."""
    words, plain = evidence.lines.words, evidence.lines.plain
    numbers: dict[str, int] = {"": -1}
    told = np.zeros(len(words), dtype=np.int64)
    for k in np.flatnonzero(~plain).tolist():
        told[k] = numbers.setdefault(words[k], len(numbers))
    return told[evidence.lines.which]


def _modes_at(evidence: Evidence, starts: list[int]) -> Ints:
    """Return in which modes each block (n, m) begins, as numbers."""
    columns = []
    for group in _MODES:
        numbers: dict[str, int] = {}
        changes = evidence.changes(group)
        known = [-1, *(numbers.setdefault(change.word, len(numbers)) for change in changes)]
        lines = np.array([change.line for change in changes], dtype=np.int64)
        columns.append(np.array(known)[np.searchsorted(lines, starts, side="right")])
    return np.column_stack(columns).astype(np.int64)
