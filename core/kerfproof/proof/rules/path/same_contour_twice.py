"""The same cut is made twice.

Finds: a run of which more than a fifth of the length follows an earlier run on the same plate. Over-burn within a
run does not count.

Matters: the arc burns in an open kerf, goes out, and widens the edge.

Bad::

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 X10 Y50
    M3
    G1 X60 F2200
    M5

Good::

    Program: bad
    G0 X10 Y50 -> G0 X10 Y70

Do: remove the duplicate from the drawing.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import Severity
from kerfproof.geom.along import stretches_near
from kerfproof.geom.path import Ints, Segments
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import REJOIN
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm_size, of_line, say

SAME = 0.05
"""Paths nearer than this are the same."""
SHARE = 0.2


def _judge(e: Evidence) -> Iterator[Hit]:
    s, stock = e.path.segments, e.stock
    near = np.flatnonzero((stock.gap <= SAME) & (s.owner[stock.earlier] != s.owner[stock.later]))
    if not len(near):
        return
    earlier, later = stock.earlier[near], stock.later[near]
    later, earlier, onto = _less_open_ends(e, later, earlier)
    if not len(later):
        return
    found = stretches_near(s, onto, SAME, (later, np.arange(len(onto))))
    length = np.bincount(s.owner[found.which], found.lengths(s) * found.near, minlength=len(e.runs))
    for run in e.runs:
        if run.length > 0 and length[run.number] > SHARE * run.length:
            before = np.bincount(s.owner[earlier[s.owner[later] == run.number]])
            share, line = length[run.number] / run.length, e.runs[int(before.argmax())].light_line
            x0, y0, x1, y1 = _box(e, run.number)
            path = say("(path {size})", size=mm_size(x1 - x0, y1 - y0, ".4g"))
            message = say(
                "{share:.0%} of this cut {path} was cut before, by that {of}",
                share=share,
                path=path,
                of=of_line(line),
            )
            yield Hit(message, "remove the duplicate", run.light_line, run.start)


def _less_open_ends(e: Evidence, later: Ints, earlier: Ints) -> tuple[Ints, Ints, Segments]:
    """Return pairs without the last `REJOIN` mm of earlier runs that close nowhere, and what is left of the earlier.

    There a cut that stopped is taken up again.
    """
    s, path = e.path.segments, e.path
    lengths = s.lengths()
    is_open = ~np.isin(s.owner[earlier], path.ring_run)
    end = np.where(is_open, np.clip((path.remaining[earlier] + lengths[earlier] - REJOIN) / lengths[earlier], 0, 1), 1)
    held = end * lengths[earlier] > 1e-6
    later, earlier, end = later[held], earlier[held], end[held]
    body = Segments.between(s.p0[earlier], s.points(earlier, end), np.tan(s.sweep[earlier] * end / 4))
    return later, earlier, body


def _box(e: Evidence, run: int) -> Box:
    """Return what a run reaches: its closed stretch without the leads, if it has one."""
    rings = np.flatnonzero(e.path.ring_run == run)
    if len(rings):
        return e.path.rings.path(int(rings[0])).bounds()
    boxes = e.path.segments.boxes()[e.path.segments.owner == run]
    return (*boxes[:, :2].min(axis=0).tolist(), *boxes[:, 2:].max(axis=0).tolist())


RULE = Rule("same-contour-twice", Severity.WARNING, _judge)
