"""A long program with most of its like pierce blocks left out, to be played many times.

The blocks that stay are the first, a middle one and the last ones, and one of each further kind: blocks differ in kind
when their lines without X and Y do.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.path import Bools
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence

FEW = 6
"""Programs with no more runs than this are played whole."""
MOST_KINDS = 8

_IN_PLANE = re.compile(r"[XYIJ]|^G0?4P")
_FEED = re.compile(r"F[\d.]+")


@dataclass(frozen=True, slots=True)
class Short:
    """The text to play, and where it comes from.

    `lines` are the numbers (from 1) in the whole program of its lines. `runs` are the runs that stand in it, `ends`
    how many lines of it there are up to the end of each one's block, `faults` those (counted from 0 in `runs`) at
    which to try faults.
    """

    text: str
    lines: tuple[int, ...]
    runs: tuple[int, ...]
    ends: tuple[int, ...]
    faults: tuple[int, ...]

    def line(self, number: int | None) -> int | None:
        """Return the line number in the whole program."""
        if number is None or not 0 < number <= len(self.lines):
            return None
        return self.lines[number - 1]

    def through(self, run: int) -> str:
        """Return the text up to the end of the block of a run, counted from 0 in `runs`."""
        return "\n".join(self.text.split("\n")[: self.ends[run]]) + "\n"


def shorten(evidence: Evidence) -> Short:
    """Return a program short enough to be played many times."""
    n = len(evidence.runs)
    if n <= FEW:
        return whole(evidence)
    starts = _block_starts(evidence)
    kinds = _kinds(evidence, starts)
    kept = {0, 1, n // 2, n - 2, n - 1, *kinds}
    gone = np.zeros(len(evidence.lines), dtype=np.bool_)
    for run in range(n):
        gone[starts[run] : starts[run + 1]] = run not in kept
    return _picked(evidence, starts, ~gone, sorted(kept), {0, n // 2, n - 1, *kinds})


def whole(evidence: Evidence) -> Short:
    """Return the program as it is, to be tried at its first, middle and last run."""
    n = len(evidence.runs)
    every = np.ones(len(evidence.lines), dtype=np.bool_)
    return _picked(evidence, _block_starts(evidence), every, range(n), {0, n // 2, n - 1})


def _picked(evidence: Evidence, starts: list[int], stays: Bools, runs: Sequence[int], faults: set[int]) -> Short:
    lines = np.flatnonzero(stays)
    text = "\n".join(map(evidence.lines.__getitem__, lines.tolist())) + "\n"
    before = np.concatenate([[0], np.cumsum(stays)])
    ends = tuple(int(before[starts[run + 1]]) for run in runs)
    tried = tuple(k for k, run in enumerate(runs) if run in faults)
    return Short(text, tuple((lines + 1).tolist()), tuple(runs), ends, tried)


def _block_starts(evidence: Evidence) -> list[int]:
    """Return the line index at which each run's block begins, and the one after the last run's raise."""
    trace = evidence.trace
    quiet: Bools = (trace.kind == Step.DWELL) | (evidence.moves & ~evidence.travels)
    loud = np.flatnonzero(~quiet)
    starts = [0]
    for run in evidence.runs:
        after = np.searchsorted(loud, run.last_row + 1)
        row = int(loud[after]) if after < len(loud) else len(trace)
        starts.append(int(trace.line[row - 1]))  # the line after that of the last quiet row, as an index
    starts[0] = 0
    return starts


def _kinds(evidence: Evidence, starts: list[int]) -> list[int]:
    """Return the first run of each kind of block beyond the usual, at most `MOST_KINDS`."""
    numbers: dict[str, int] = {}
    told = [-1 if what is None else numbers.setdefault(what, len(numbers)) for what in map(_told, evidence.lines.words)]
    every = np.array(told, dtype=np.int64)[evidence.lines.which]
    lines = np.flatnonzero(every >= 0)
    bounds = np.searchsorted(lines, starts).tolist()
    kinds = every[lines]
    seen: dict[bytes, int] = {}
    for run in range(1, len(evidence.runs)):
        seen.setdefault(kinds[bounds[run] : bounds[run + 1]].tobytes(), run)
    return list(seen.values())[:MOST_KINDS]


def _told(words: str) -> str | None:
    """Return what a line says of the kind of its block, None where that is nothing."""
    if not words or "X" in words or "Y" in words or _IN_PLANE.search(words):  # most lines have X or Y
        return None
    return _FEED.sub("", words)
