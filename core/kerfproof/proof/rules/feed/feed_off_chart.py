"""A cut far from the feed of the chart.

Finds: torch-on motion at less than half the feed that the process asks for there (small holes are meant to be slowed,
as far as their radius and the table ask), or a third above. Beyond double that it is an error. Feeds off by the
factor of a unit are told by feed-in-wrong-unit.

Matters: too slow widens the kerf and burns the edge, too fast does not cut through.

Bad::

    Given: burning
    G1 X30 F300

Good::

    Given: burning
    G1 X30 F2200

Do: take the feed of the chart, or put the measured one into your own chart.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Bools, Floats
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_min, say

LEAST, MOST = 0.5, 4 / 3
FAR = 2.0
"""Off by so much more, no chart is meant: the kerf is another or the plate is not cut through."""


def unit_slip(ratio: Floats) -> Bools:
    """Return which ratios of feeds look like mixed-up units of length or time."""
    factor = np.maximum(ratio, 1 / ratio)
    return np.asarray(((factor > 20) & (factor < 30)) | ((factor > 50) & (factor < 70)))


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    chart = e.process.feed_mm_min
    usual = ~unit_slip(np.maximum(e.trace.feed, 1e-9) / chart)
    rows = np.flatnonzero(e.travels & e.trace.torch & (e.trace.feed > 0) & usual)
    if not len(rows):
        return
    run = np.searchsorted(e.first_rows, rows, side="right") - 1
    radial = e.trace.start.take(rows, axis=0)[:, :2] - e.trace.center.take(rows, axis=0)
    radius = np.hypot(radial[:, 0], radial[:, 1])
    smallest = np.full(len(e.runs), 1e6)
    np.minimum.at(smallest, run, np.where(e.trace.sweep[rows] != 0, radius, np.inf))
    least = LEAST * np.array([e.process.hole_feed(r, e.machine.acceleration_mm_s2) for r in smallest.tolist()])
    odd = np.flatnonzero((e.trace.feed[rows] < least[run]) | (e.trace.feed[rows] > MOST * chart))
    for k in odd[np.diff(run[odd], prepend=-1) != 0].tolist():
        feed = float(e.trace.feed[rows[k]])
        far = feed < least[run[k]] / FAR or feed > FAR * MOST * chart
        message = say("this cuts at {feed}, the chart has {chart}", feed=mm_min(feed), chart=mm_min(chart))
        yield at_row(e, int(rows[k]), message, "take the feed of the chart", Severity.ERROR if far else None)


RULE = Rule("feed-off-chart", Severity.WARNING, _judge)
