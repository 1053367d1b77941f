"""Which sheet each cut is made on, told by what is cut alone; no comment counts for another sheet.

A sheet can't be cut twice in the same place. So parts that are cut whole once more behind a stop speak for another one.
Cuts inside a piece that was cut before, with nothing that is made once more around them, belong to that piece.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Collection, Sequence
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
_ASKS = re.compile(
    r"(NEXT|NEW|SECOND|CHANGE|TURN|OTHER)\W+(THE\W+)?(PLATE|SHEET)|(PLATE|SHEET)\W*(2|TWO|CHANGE)(?![.,\d]|\W*(MM|IN|INCH|THICK)\b)"
)
_ASKS_NOT = re.compile(r"\b(NO|NOT|NEVER|SAME)\b|N'T\b")


@dataclass(frozen=True, slots=True)
class Doubt:
    """A stop that asks for another sheet and is not believed: its trace row, and why.

    `run` is a run behind it that belongs to what was cut before, -1 where nothing speaks for another sheet and nothing
    against it.
    """

    row: int
    run: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class Stops:
    """Stops between cuts at which a sheet can be changed: of each its trace row, and the first run behind it.

    An optional stop is none: a switch passes over it. Nor is one behind the search for the plate: the search holds for
    the sheet that lies there. `asks` are those with a comment that asks for another sheet.
    """

    rows: Ints
    runs: Ints
    asks: frozenset[int]

    @staticmethod
    def of(trace: Trace, runs: Sequence[TorchRun]) -> Stops:
        """Return the stops of a program; of several with nothing cut between them the first, or the one that asks."""
        first = np.array([run.first_row for run in runs], dtype=np.int64)
        probes = np.flatnonzero(trace.kind == Step.PROBE)
        found: dict[int, int] = {}
        asks: set[int] = set()
        for row in np.flatnonzero((trace.kind == Step.STOP) & ~trace.torch).tolist():
            run = int(np.searchsorted(first, row))
            if trace.text[row] not in STOPS or not 0 < run < len(runs):
                continue
            gap = probes[(probes > runs[run - 1].last_row) & (probes < first[run])]
            if len(gap) and gap[-1] < row:
                continue
            found.setdefault(run, row)
            if _asks(trace, row):
                found[run] = row
                asks.add(row)
        rows, at = list(found.values()), list(found)
        return Stops(np.array(rows, dtype=np.int64), np.array(at, dtype=np.int64), frozenset(asks))

    def sheets(self, count: int, rows: Collection[int]) -> tuple[Ints, tuple[int, ...]]:
        """Return the sheet of each of `count` runs if the stops at `rows` bring one, and those rows in order."""
        taken = np.isin(self.rows, list(rows))
        sheet_of = np.searchsorted(self.runs[taken], np.arange(count), side="right")
        return sheet_of.astype(np.int64), tuple(self.rows[taken].tolist())


def _asks(trace: Trace, row: int) -> bool:
    """Return whether a comment beside a stop asks for another sheet."""
    comments, line = trace.comments, int(trace.line[row])  # in order of their lines
    near = comments[bisect_left(comments, (line - 2, "")) : bisect_left(comments, (line + 2, ""))]
    return any(_ASKS.search(text.upper()) and not _ASKS_NOT.search(text.upper()) for _, text in near)


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


def proposed(stops: Stops, cuts: Cuts) -> frozenset[int]:
    """Return the rows of the stops behind which something is cut that can't share the sheet with what was cut before.

    It may be cut once more, or lie over it. The last stop before such a cut is taken.
    """
    clashes = _clashes(cuts)
    out: list[int] = []
    begin = 0
    for run in sorted(clashes):
        stop = int(np.searchsorted(stops.runs, run, side="right")) - 1
        if stop < 0 or stops.runs[stop] <= begin:
            continue
        if any(begin <= earlier < stops.runs[stop] for earlier in clashes[run]):
            begin = int(stops.runs[stop])
            out.append(int(stops.rows[stop]))
    return frozenset(out)


def _clashes(cuts: Cuts) -> dict[int, set[int]]:
    """Return of each run the earlier ones that it can't share a sheet with; none for the others."""
    out: dict[int, set[int]] = {}
    runs = np.arange(len(cuts.length))
    for run in runs[1:].tolist():
        same = np.flatnonzero(_same_as(cuts, run, runs[:run]))
        if len(same):
            out.setdefault(run, set()).update(same.tolist())
    boxes, areas = path_boxes(cuts.regions), np.abs(path_areas(cuts.regions))
    for one, run in enumerate(cuts.region_run.tolist()):
        before = np.flatnonzero(cuts.region_run < run)
        same = before[_alike(boxes, areas, one, before)]
        over = before[_partly_over(boxes, one, before)]
        out.setdefault(run, set()).update(cuts.region_run[[*same, *over]].tolist())
    if len(cuts.regions):
        point, region = containers(cuts.regions, cuts.place)
        for k, earlier in zip(point.tolist(), cuts.region_run[region].tolist(), strict=True):
            if earlier < k:
                out.setdefault(k, set()).add(earlier)
    return {run: earlier for run, earlier in out.items() if earlier}


def doubts(cuts: Cuts, sheet_of: Ints, rows: Sequence[int], *, whole: bool) -> list[Doubt]:
    """Return which of the stops at `rows`, the first before sheet 1, are not believed to bring another sheet.

    `whole`: a piece that is cut once more must be so with all that is cut in it.
    """
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
        last = np.flatnonzero(region_sheet == sheet - 1)
        twice = last[_same_regions(boxes, areas, last, own)]
        places = cuts.place[mine[repeated]]
        in_pieces = _in_part(cuts.regions, own, again, places) or _in_part(cuts.regions, last, twice, places)
        if whole and not in_pieces:  # all that was cut in the pieces
            left = np.flatnonzero(sheet_of == sheet - 1)
            left = left[~_same_runs(cuts, left, mine) & ~np.isin(left, cuts.region_run[twice])]
            in_pieces = bool(_held(cuts.regions, twice, cuts.place[left]).any())
        if len(loose):
            out.append(Doubt(row, int(mine[loose[0]])))
        elif not repeated.any():
            out.append(Doubt(row))
        elif in_pieces:
            out.append(Doubt(row, int(mine[repeated][0])))
    return out


def _in_part(regions: Bundle, which: Ints, again: Ints, places: Floats) -> bool:
    """Return whether one of the places lies in a hole or slit of a piece that is itself not cut again.

    Pieces nest: what lies in an even number of regions is a piece of its own.
    """
    if not len(which) or not len(places):
        return False
    point, region = containers(Bundle.of([regions.path(k) for k in which.tolist()]), places)
    areas = np.abs(path_areas(regions))
    for k in range(len(places)):
        inside = which[region[point == k]]
        outward = inside[np.argsort(areas[inside])]
        if len(outward) % 2 and not np.isin(outward, again).any():
            return True
        if len(outward) and len(outward) % 2 == 0 and outward[0] in again and outward[1] not in again:
            return True
    return False


def alone(trace: Trace, runs: Sequence[TorchRun], which: Bools) -> Trace:
    """Return the trace with the torch off in all runs but those of `which` (r,)."""
    torch = trace.torch.copy()
    for run in runs:
        if not which[run.number]:
            torch[run.first_row : run.last_row + 1] = False
    return replace(trace, torch=torch)


def _same_regions(boxes: Floats, areas: Floats, own: Ints, old: Ints) -> Bools:
    return np.array([_alike(boxes, areas, region, old).any() for region in own.tolist()], dtype=np.bool_)


def _alike(boxes: Floats, areas: Floats, region: int, old: Ints) -> Bools:
    """Return which regions are one once more."""
    same: Bools = (np.abs(boxes[old] - boxes[region]) <= SAME).all(axis=1)
    return np.asarray(same & (np.abs(areas[old] - areas[region]) <= SAME_AREA * areas[region]))


def _partly_over(boxes: Floats, region: int, old: Ints) -> Bools:
    """Return which boxes of regions lie over one in part: neither holds the other."""
    here, there = boxes[region], boxes[old]
    meet = (there[:, :2] < here[2:] - SAME).all(axis=1) & (there[:, 2:] > here[:2] + SAME).all(axis=1)
    holds = (there[:, :2] > here[:2]).all(axis=1) & (there[:, 2:] < here[2:]).all(axis=1)
    held = (there[:, :2] < here[:2]).all(axis=1) & (there[:, 2:] > here[2:]).all(axis=1)
    return np.asarray(meet & ~holds & ~held)


def _same_runs(cuts: Cuts, mine: Ints, before: Ints) -> Bools:
    """Return which runs are an earlier one once more, whichever way round."""
    return np.array([_same_as(cuts, run, before).any() for run in mine.tolist()], dtype=np.bool_)


def _same_as(cuts: Cuts, run: int, before: Ints) -> Bools:
    """Return which runs are one once more, whichever way round."""
    here, ends = cuts.ends[run], cuts.ends[before]
    same = (np.abs(ends - here) <= SAME).all(axis=1) | (np.abs(ends[:, [2, 3, 0, 1]] - here) <= SAME).all(axis=1)
    same &= np.hypot(*(cuts.place[before] - cuts.place[run]).T) <= 2 * SAME
    return np.asarray(same & (np.abs(cuts.length[before] - cuts.length[run]) <= 2 * SAME))


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
