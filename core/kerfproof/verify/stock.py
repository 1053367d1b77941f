"""What is still solid, run by run: which pieces have come free, and where kerfs are open.

A closed run frees what its ring surrounds. Nothing is subtracted from anything: a place is asked which earlier
rings hold it and which earlier kerfs come near it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.distance import pair_distances
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.geom.region import containers
from kerfproof.motion.trace import Step, Trace
from kerfproof.verify.proof import Run
from kerfproof.verify.runs import TorchPath

_NEXT_PLATE = re.compile(r"(NEXT|NEW|SECOND|CHANGE|TURN|OTHER)\W+(THE\W+)?(PLATE|SHEET)|(PLATE|SHEET)\W*(2|TWO|CHANGE)")


@dataclass(frozen=True, slots=True, eq=False)
class Stock:
    """The state of the plate before each run.

    `plate_of` (n,) counts plates run by run. Pairs of torch path segments whose kerfs meet: `earlier`, `later`
    (k,) segment numbers and `gap` (k,) the distance of their paths, below half the earlier one's kerf. Segments of
    one run count as a pair when more than two kerfs of path lie between them.
    """

    path: TorchPath
    plate_of: Ints
    earlier: Ints
    later: Ints
    gap: Floats

    def freed_by(self, points: Floats, run: Ints, *, through: bool = False) -> Ints:
        """Return for each point (k, 2) the first ring that freed what lies there before run `run` (k,), or -1.

        `through` counts what run `run` itself has freed, too.
        """
        out = np.full(len(points), -1, dtype=np.int64)
        rings = self.path.rings
        if not len(rings) or not len(points):
            return out
        k, ring = containers(rings, points)
        ring_run = self.path.ring_run
        asked = run[k]
        done = asked + 1 if through else asked
        before = (ring_run[ring] < done) & (self.plate_of[ring_run[ring]] == self.plate_of[asked])
        k, ring = k[before], ring[before]
        order = np.lexsort((ring, k))[::-1]
        out[k[order]] = ring[order]  # the earliest is written last
        return out


def stock_of(trace: Trace, runs: tuple[Run, ...], path: TorchPath, lines: tuple[str, ...]) -> Stock:
    """Return the stock of a program."""
    plate_of = _plates(trace, runs, lines)
    earlier, later, gap = _meeting(path, plate_of)
    return Stock(path, plate_of, earlier, later, gap)


def _plates(trace: Trace, runs: tuple[Run, ...], lines: tuple[str, ...]) -> Ints:
    """Return the number of the plate that each run cuts: a stop whose comment asks for another plate begins one."""
    changes = []
    for row in np.flatnonzero(trace.kind == Step.STOP):
        line = int(trace.line[row])
        near = " ".join(lines[max(line - 3, 0) : line + 1]).upper()
        if _NEXT_PLATE.search(near):
            changes.append(row)
    return np.searchsorted(np.array(changes, dtype=np.int64), [run.first_row for run in runs]).astype(np.int64)


def _meeting(path: TorchPath, plate_of: Ints) -> tuple[Ints, Ints, Floats]:
    """Return the pairs of segments of `Stock`."""
    s = path.segments
    later, earlier = path.index.pairs(path.index.boxes, path.half_kerf)
    order = earlier < later
    later, earlier = later[order], earlier[order]
    keep = _apart(path, earlier, later) & (plate_of[s.owner[earlier]] == plate_of[s.owner[later]])
    later, earlier = later[keep], earlier[keep]
    gap = pair_distances(s, earlier, s, later)
    near = gap < path.half_kerf[earlier] - 1e-6
    return earlier[near], later[near], gap[near]


def _apart(path: TorchPath, earlier: Ints, later: Ints) -> Bools:
    """Return which pairs are of two runs, or of one with more than two kerfs of path between them."""
    s = path.segments
    between = path.along[later] - path.along[earlier] - s.lengths()[earlier]
    return np.asarray((s.owner[earlier] != s.owner[later]) | (between > 4 * path.half_kerf[earlier]))
