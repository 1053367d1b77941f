"""Which sheet each cut is made on: a comment may ask for another sheet, the cuts tell whether there can be one.

A sheet can't be cut twice in the same place, so cuts that are made once more speak for another one. Cuts inside a
piece that was cut before, or round it, with nothing that is made once more around them, belong to that piece.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.gcode.load import STOPS
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Bundle, Floats, Ints
from kerfproof.geom.region import containers, path_areas, path_boxes
from kerfproof.proof.evidence.runs import TorchPath, TorchRun

SAME = 0.5
"""Cuts whose ends and boxes agree within this (mm) are the same once more; a drawing tells finer differences."""
SAME_AREA = 0.02
"""Share by which the areas of two closed cuts may differ that are the same."""
_NEXT = re.compile(r"(NEXT|NEW|SECOND|CHANGE|TURN|OTHER)\W+(THE\W+)?(PLATE|SHEET)|(PLATE|SHEET)\W*(2|TWO|CHANGE)")


@dataclass(frozen=True, slots=True)
class Doubt:
    """A stop that asks for another sheet and is not believed: its trace row, and why.

    `run` is a run behind it that belongs to what was cut before, -1 where nothing speaks for another sheet and nothing
    against it.
    """

    row: int
    run: int = -1


def asked(trace: Trace, runs: Sequence[TorchRun]) -> tuple[Ints, tuple[int, ...]]:
    """Return the sheet of each run as comments of stops have it, from 0, and the row of the stop before each later one.

    Stops with nothing cut between them ask for one sheet together. An optional stop is none: a switch passes over it.
    """
    comments = trace.comments  # in order of their lines
    rows = []
    for row in np.flatnonzero(trace.kind == Step.STOP).tolist():
        line = int(trace.line[row])
        near = comments[bisect_left(comments, (line - 2, "")) : bisect_left(comments, (line + 2, ""))]
        if trace.text[row] in STOPS and any(_NEXT.search(text.upper()) for _, text in near):
            rows.append(row)
    counted = np.searchsorted(np.array(rows, dtype=np.int64), [run.first_row for run in runs])
    found, sheet_of = np.unique(counted, return_inverse=True)
    return sheet_of.astype(np.int64), tuple(rows[k - 1] for k in found[1:].tolist())


@dataclass(frozen=True, slots=True, eq=False)
class Cuts:
    """What runs cut, as far as sheets are told apart by it.

    Of each run (r,): `place` (r, 2) on it, `ends` (r, 4), `length`. `regions` come free after the runs `region_run`.
    """

    place: Floats
    ends: Floats
    length: Floats
    regions: Bundle
    region_run: Ints

    @staticmethod
    def of(path: TorchPath, runs: Sequence[TorchRun], regions: Bundle, region_run: Ints) -> Cuts:
        """Return the cuts of a torch path; `regions` are all that comes free."""
        place = np.array([run.start for run in runs], dtype=np.float64).reshape(-1, 2)
        first, stop = path.first[:-1], path.first[1:]
        moving = np.flatnonzero(stop > first)
        middle = (first[moving] + stop[moving]) // 2
        place[moving] = path.segments.points(middle, np.full(len(middle), 0.5))
        place[path.ring_run] = path.segments.points(path.ring_first, np.full(len(path.ring_first), 0.5))
        ends = np.array([(*run.start, *run.end) for run in runs], dtype=np.float64).reshape(-1, 4)
        return Cuts(place, ends, np.array([run.length for run in runs]), regions, region_run)


def doubts(trace: Trace, cuts: Cuts, sheet_of: Ints, rows: Sequence[int]) -> list[Doubt]:
    """Return which of the stops at `rows`, the first before sheet 1, are not believed to bring another sheet."""
    boxes, areas = path_boxes(cuts.regions), np.abs(path_areas(cuts.regions))
    region_sheet = sheet_of[cuts.region_run]
    out = []
    for sheet, row in enumerate(rows, 1):
        mine, before = np.flatnonzero(sheet_of == sheet), np.flatnonzero(sheet_of < sheet)
        own, old = np.flatnonzero(region_sheet == sheet), np.flatnonzero(region_sheet < sheet)
        again = own[_same_regions(boxes, areas, own, old)]
        repeated = _same_runs(cuts, mine, before)
        repeated |= np.isin(mine, cuts.region_run[again])
        covered = repeated | _held(cuts.regions, again, cuts.place[mine])
        meets = _held(cuts.regions, old, cuts.place[mine])
        around = own[_holds(cuts.regions, own, cuts.place[before])]
        meets |= np.isin(mine, cuts.region_run[around])
        loose = np.flatnonzero(meets & ~covered)
        if len(loose):
            out.append(Doubt(row, int(mine[loose[0]])))
        elif not repeated.any():
            out.append(Doubt(row))
    return out


def merged(sheet_of: Ints, rows: Sequence[int], doubted: Sequence[Doubt]) -> Ints:
    """Return the sheet of each run where the doubted stops bring none."""
    gone = {doubt.row for doubt in doubted}
    lower = np.cumsum([0, *(row in gone for row in rows)])
    return np.asarray(sheet_of - lower[sheet_of], dtype=np.int64)


def alone(trace: Trace, runs: Sequence[TorchRun], which: Bools) -> Trace:
    """Return the trace with the torch off in all runs but those of `which` (r,)."""
    torch = trace.torch.copy()
    for run in runs:
        if not which[run.number]:
            torch[run.first_row : run.last_row + 1] = False
    return replace(trace, torch=torch)


def _same_regions(boxes: Floats, areas: Floats, own: Ints, old: Ints) -> Bools:
    out = np.zeros(len(own), dtype=np.bool_)
    for k, region in enumerate(own.tolist()):
        same = (np.abs(boxes[old] - boxes[region]) <= SAME).all(axis=1)
        out[k] = (same & (np.abs(areas[old] - areas[region]) <= SAME_AREA * areas[region])).any()
    return out


def _same_runs(cuts: Cuts, mine: Ints, before: Ints) -> Bools:
    """Return which runs are an earlier one once more, whichever way round."""
    out = np.zeros(len(mine), dtype=np.bool_)
    back = cuts.ends[before][:, [2, 3, 0, 1]]
    for k, run in enumerate(mine.tolist()):
        here = cuts.ends[run]
        ends = (np.abs(cuts.ends[before] - here) <= SAME).all(axis=1) | (np.abs(back - here) <= SAME).all(axis=1)
        place = np.hypot(*(cuts.place[before] - cuts.place[run]).T) <= 2 * SAME
        out[k] = (ends & place & (np.abs(cuts.length[before] - cuts.length[run]) <= 2 * SAME)).any()
    return out


def _held(regions: Bundle, which: Ints, places: Floats) -> Bools:
    """Return which places lie in one of the regions."""
    out = np.zeros(len(places), dtype=np.bool_)
    if len(which) and len(places):
        point, _ = containers(Bundle.of([regions.path(k) for k in which.tolist()]), places)
        out[point] = True
    return out


def _holds(regions: Bundle, which: Ints, places: Floats) -> Bools:
    """Return which of the regions hold one of the places."""
    out = np.zeros(len(which), dtype=np.bool_)
    if len(which) and len(places):
        _, region = containers(Bundle.of([regions.path(k) for k in which.tolist()]), places)
        out[region] = True
    return out
