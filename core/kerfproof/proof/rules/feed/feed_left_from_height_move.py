"""The cut runs at the feed of a height move.

Finds: the first move in the plane after torch on without an F word, where the last F stood on a Z move or a search and
is not the chart's feed for what is cut there.

Matters: the cut then runs at the rise feed, or at 150 mm/min of the touch.

Bad::

    Given: burning
    G1 X60
    M5

Good::

    Given: burning
    G1 X60 F2200
    M5

Do: state F on the first move in the plane.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Bools
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_min, of_line, say

SAME = 0.02
"""A feed within this share of the chart's is that feed, rounded."""

ROUND = 0.7
"""A cut with this share of its way on arcs is one of a round hole."""


def _as_chart(e: Evidence) -> Bools:
    """Return which rows run at the chart's feed: that of the plate, or in a slowed hole that of its radius (n,)."""
    out = np.zeros(len(e.trace), dtype=np.bool_)
    if e.process is None:
        return out
    for run in e.runs:
        rows = np.arange(run.first_row, run.last_row + 1)
        radial = e.trace.start[rows, :2] - e.trace.center[rows]
        arcs = np.hypot(radial[:, 0], radial[:, 1])[e.trace.sweep[rows] != 0]
        feeds = [e.process.feed_mm_min]
        round_way, way = e.length[rows][e.trace.sweep[rows] != 0].sum(), e.length[rows].sum()
        if len(arcs) and round_way > ROUND * way:
            feeds += [e.process.hole_feed(float(r), e.machine.acceleration_mm_s2) for r in (arcs.min(), arcs.max())]
        for feed in feeds:
            out[rows] |= np.abs(e.trace.feed[rows] - feed) <= SAME * feed
    return out


def _judge(e: Evidence) -> Iterator[Hit]:
    right = _as_chart(e)
    for row in e.first_travels[e.first_travels >= 0].tolist():
        if e.trace.feed[row] <= 0 or "F" in e.letters(e.line(row)) or right[row]:
            continue
        line = e.line(row) - 1
        while line > 0 and "F" not in e.letters(line):
            line -= 1
        letters = e.letters(line)
        if "Z" in letters and not letters & {"X", "Y"}:
            message = say(
                "the cut runs at {feed}, left from the Z move {of}", feed=mm_min(e.trace.feed[row]), of=of_line(line)
            )
            yield at_row(e, row, message, "state F on the first move in the plane")


RULE = Rule("feed-left-from-height-move", Severity.ERROR, _judge)
