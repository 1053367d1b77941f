"""The first program as cuts: what it lights, read from its text alone."""

from __future__ import annotations

import re
from collections.abc import Hashable
from dataclasses import dataclass

import numpy as np

from kerfproof.cut_plan import Cut, Point
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Path, Segments
from kerfproof.geom.region import nesting
from kerfproof.proof.evidence.evidence import half_kerfs
from kerfproof.proof.evidence.runs import TorchPath, TorchRun, runs_of, torch_path
from kerfproof.shop.chart import Process

_TITLE = re.compile(r"cut (\d+) of (\d+): (outline|hole|slit|mark), feature (\d+)")
_PART = re.compile(r"part (.+), (.+)")
KINDS = ("outline", "hole", "slit", "mark")


@dataclass(frozen=True, slots=True, eq=False)
class FirstProgram:
    """The cuts of a program in order, its whole torch path, the rings in it, and what could not be known.

    `ring_cut` (r,) is the cut of each ring.
    """

    cuts: tuple[Cut, ...]
    path: TorchPath
    unknown: tuple[Finding, ...] = ()

    def line(self, k: int) -> Path:
        """Return the whole way of a cut with the torch on, as one open path."""
        return run_line(self.path.segments, int(self.path.first[k]), int(self.path.first[k + 1]))

    def ring(self, k: int) -> Path | None:
        """Return the longest closed stretch of a cut, None if it has none."""
        rings = np.flatnonzero(self.path.ring_run == k)
        if not len(rings):
            return None
        paths = [self.path.rings.path(int(r)) for r in rings]
        return max(paths, key=lambda path: round(path.length(), 6))


def first_program(trace: Trace, process: Process) -> FirstProgram:
    """Return the cuts of an interpreted program.

    Raises
    ------
    KerfproofError
        If it lights no torch, or the control stops in it.
    """
    runs = runs_of(trace)
    if not runs:
        raise KerfproofError("the program lights no torch", advice="is it a cut program for this machine?")
    if trace.stopped is not None:
        raise KerfproofError(
            f"line {trace.stopped.line} can't be run: {trace.stopped.reason}", advice="what comes after it is not known"
        )
    half = half_kerfs(trace, runs, process)
    path = torch_path(trace, runs, half)
    titles = _titles(trace, runs)
    cuts, feeds = [], []
    for run in runs:
        if path.first[run.number] == path.first[run.number + 1]:
            raise KerfproofError(
                f"cut {run.number + 1} does not move (line {run.light_line})", advice="it is no cut to go on with"
            )
        feed, same = _feed(trace, run)
        cuts.append(_cut(path, run, titles, feed, 2 * float(half[run.number])))
        feeds += [] if same else [run.number + 1]
    unknown = [] if titles else [_foreign()]
    return FirstProgram(tuple(cuts), path, (*unknown, *_feeds_differ(feeds)))


def run_line(s: Segments, first: int, stop: int) -> Path:
    """Return segments first to stop, which follow each other, as one open path."""
    vertices = np.column_stack([s.p0[first:stop], s.bulge[first:stop]])
    return Path(np.vstack([vertices, [*s.p1[stop - 1], 0.0]]), False)


def _foreign() -> Finding:
    return Finding(
        "program-not-ours",
        Severity.WARNING,
        "the program does not say which cut is which: cuts are numbered by its torch-on words, and its own words "
        "for outputs, waits and heights are not carried over",
        "look at each start of the resumed program before it lights",
    )


def _feeds_differ(cuts: list[int]) -> list[Finding]:
    if not cuts:
        return []
    which = ", ".join(map(str, cuts[:8])) + (" and more" if len(cuts) > 8 else "")
    what = f"cut {which} changes its feed on the way; each is resumed at the feed it mostly has"
    return [Finding("feed-evened", Severity.WARNING, what, "watch the slow stretches")]


def _titles(trace: Trace, runs: tuple[TorchRun, ...]) -> dict[int, tuple[str, int, str, str]]:
    """Return kind, feature, part and label by cut (from 0), from the comments of our own programs."""
    found: dict[int, tuple[str, int, str, str]] = {}
    comments = list(trace.comments)
    for number, (_line, text) in enumerate(comments):
        match = _TITLE.match(text.strip())
        if match is None or int(match[2]) != len(runs):
            continue
        named = _PART.match(comments[number + 1][1].strip()) if number + 1 < len(comments) else None
        part, label = (named[1], named[2]) if named else ("", "")
        found[int(match[1]) - 1] = (match[3], int(match[4]), part, label)
    return found if len(found) == len(runs) else {}


def _cut(path: TorchPath, run: TorchRun, titles: dict[int, tuple[str, int, str, str]], feed: float, kerf: float) -> Cut:
    """Return a run as a cut: lead-in, the ring (or all of it), what follows."""
    first, stop = int(path.first[run.number]), int(path.first[run.number + 1])
    ring = _ring(path, run.number) or (first, stop)
    kind, feature, part, label = titles.get(run.number, ("outline", run.number, "", f"cut {run.number + 1}"))
    s = path.segments
    return Cut(
        feature=feature,
        kind=kind,
        part=part,
        label=label,
        pierce=_point(s.p0[first]),
        contour=run_line(s, *ring),
        lead_in=run_line(s, first, ring[0]) if ring[0] > first else None,
        lead_out=run_line(s, ring[1], stop) if stop > ring[1] else None,
        feed_mm_min=feed,
        kerf=kerf,
    )


def _point(at: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Point:
    return float(at[0]), float(at[1])


def _ring(path: TorchPath, run: int) -> tuple[int, int] | None:
    rings = np.flatnonzero(path.ring_run == run)
    if not len(rings):
        return None
    lengths = [path.rings.path(int(r)).length() for r in rings]
    best = int(rings[int(np.argmax(np.round(lengths, 6)))])
    return int(path.ring_first[best]), int(path.ring_stop[best])


def _feed(trace: Trace, run: TorchRun) -> tuple[float, bool]:
    """Return the feed that a run has over most of its length, and whether it has it all over."""
    rows = np.arange(run.first_row, run.last_row + 1)
    rows = rows[np.isin(trace.kind[rows], (Step.FEED, Step.ARC))]
    way = np.abs(trace.end[rows, :2] - trace.start[rows, :2]).max(axis=1) + np.abs(trace.sweep[rows])
    rows = rows[way > 1e-9]
    if not len(rows):
        raise KerfproofError(f"cut {run.number + 1} is no cutting motion (line {run.light_line})")
    lengths = np.where(
        trace.sweep[rows] != 0,
        np.abs(trace.sweep[rows]) * np.hypot(*(trace.start[rows, :2] - trace.center[rows]).T),
        np.hypot(*(trace.end[rows, :2] - trace.start[rows, :2]).T),
    )
    feeds, which = np.unique(np.round(trace.feed[rows], 3), return_inverse=True)
    most = int(np.argmax(np.round(np.bincount(which, lengths), 6)))
    return float(feeds[most]), bool(feeds.max() - feeds.min() < 1e-2 * feeds.max())


def owners_of(first: FirstProgram) -> list[Hashable]:
    """Return the part of each cut: by the comments of our own programs, else by how the rings lie in each other."""
    if all(cut.part for cut in first.cuts):
        return [cut.part for cut in first.cuts]
    out: list[Hashable] = [-1 - k for k in range(len(first.cuts))]  # a cut that closes nowhere is its own part
    if not len(first.path.rings):
        return out
    depth, parent = nesting(first.path.rings)
    for ring, run in enumerate(first.path.ring_run.tolist()):
        out[run] = ring if depth[ring] % 2 == 0 else int(parent[ring])
    return out
