"""A long program with most of its like pierce blocks left out, to be played many times.

The blocks that stay are the first two, a middle one and the last ones, one of each kind, and those before them where
the torch would come to them at another height without. Blocks are of one kind
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

SAME_HEIGHT = 0.01
"""The torch comes to a block as it does in the whole program if it is no farther off than this, mm."""

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
    kept = _entered_alike(evidence, {0, 1, n // 2, n - 2, n - 1, *kinds})
    gone = np.zeros(len(evidence.lines), dtype=np.bool_)
    for run in range(n):
        gone[starts[run] : starts[run + 1]] = run not in kept
    return _picked(evidence, starts, ~gone, sorted(kept), kinds)


def _entered_alike(evidence: Evidence, kept: set[int]) -> set[int]:
    """Return the runs with those added that raise the torch to where the next one begins."""
    left_at = [float(evidence.height[end, 1]) for end in _ends(evidence)]
    out, before = {0}, 0
    for run in range(1, len(left_at)):
        if run not in kept:
            continue
        added = run
        while added - 1 > before and abs(left_at[added - 1] - left_at[before]) > SAME_HEIGHT:
            added -= 1
        out |= set(range(added, run + 1))
        before = run
    return out


def _ends(evidence: Evidence) -> list[int]:
    """Return the last row of each run's block: the raise after it and what waits there."""
    quiet: Bools = (evidence.trace.kind == Step.DWELL) | (evidence.moves & ~evidence.travels)
    loud = np.append(np.flatnonzero(~quiet), len(evidence.trace))
    last = np.array([run.last_row for run in evidence.runs], dtype=np.int64)
    rows: list[int] = (loud[np.searchsorted(loud, last + 1)] - 1).tolist()
    return rows


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
    """Return the line index at which each run's block begins, and the one after the last run's raise."""
    return [0, *evidence.trace.line[_ends(evidence)].tolist()]  # lines after those of the last quiet rows, as indices


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
