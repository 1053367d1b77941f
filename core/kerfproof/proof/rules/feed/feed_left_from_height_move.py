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
from kerfproof.geom.path import Bools, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.runs import TorchRun
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_min, of_line, say
from kerfproof.shop.chart import Process

SAME = 0.02
"""A feed within this share of the chart's is that feed, rounded."""

ROUND = 0.7
"""A cut with this share of its way on arcs is one of a round hole."""


def _as_chart(e: Evidence, rows: Ints) -> Bools:
    """Return which rows run at the chart's feed: that of the plate, or in a slowed hole that of its radius (n,)."""
    if e.process is None:
        return np.zeros(len(rows), dtype=np.bool_)
    out = np.asarray(np.abs(e.trace.feed[rows] - e.process.feed_mm_min) <= SAME * e.process.feed_mm_min)
    which = np.searchsorted(e.first_rows, rows, side="right") - 1
    for k in np.flatnonzero(~out).tolist():
        out[k] = _as_hole(e, e.process, e.runs[int(which[k])], float(e.trace.feed[rows[k]]))
    return out


def _as_hole(e: Evidence, process: Process, run: TorchRun, feed_mm_min: float) -> bool:
    """Return whether a feed is that of the round hole that a run cuts."""
    rows = np.arange(run.first_row, run.last_row + 1)
    arcs = e.trace.sweep[rows] != 0
    if not arcs.any() or e.length[rows][arcs].sum() <= ROUND * e.length[rows].sum():
        return False
    radii = np.hypot(*(e.trace.start[rows[arcs], :2] - e.trace.center[rows[arcs]]).T)
    feeds = [process.hole_feed(float(r), e.machine.acceleration_mm_s2) for r in (radii.min(), radii.max())]
    return any(abs(feed_mm_min - feed) <= SAME * feed for feed in feeds)


def _judge(e: Evidence) -> Iterator[Hit]:
    rows = e.first_travels[e.first_travels >= 0]
    rows = rows[e.trace.feed[rows] > 0]
    for row in rows[~_as_chart(e, rows)].tolist():
        if "F" in e.letters(e.line(row)):
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
