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

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 X10 Y70
    M3
    G1 X60 F2200
    M5

Do: remove the duplicate from the drawing.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import point_distances
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule

SAME = 0.05
"""Paths nearer than this are the same."""
SHARE = 0.2


def _judge(e: Evidence) -> Iterator[Hit]:
    s, stock = e.path.segments, e.stock
    near = np.flatnonzero((stock.gap <= SAME) & (s.owner[stock.earlier] != s.owner[stock.later]))
    if not len(near):
        return
    earlier, later = stock.earlier[near], stock.later[near]
    on = np.ones(len(near), dtype=np.bool_)
    for share in (0.25, 0.5, 0.75):
        points = s.points(later, np.full(len(near), share))
        on &= point_distances(points, s, earlier) <= SAME
    twice = np.unique(later[on])
    length = np.bincount(s.owner[twice], s.lengths()[twice], minlength=len(e.runs))
    for run in e.runs:
        if run.length > 0 and length[run.number] > SHARE * run.length:
            message = f"{length[run.number] / run.length:.0%} of this cut was cut before"
            yield Hit(message, "remove the duplicate", run.light_line, run.start)


RULE = Rule("same-contour-twice", Severity.WARNING, _judge)
