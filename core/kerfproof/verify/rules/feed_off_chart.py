"""A cut far from the feed of the chart.

Finds: torch-on motion at less than half the feed that the process asks for there (small holes are meant to be slowed,
as far as their radius and the table ask), or at more than one and a half times. Feeds off by the factor of a unit
are told by feed-in-wrong-unit.

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
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row

LEAST, MOST = 0.5, 1.5


def unit_slip(ratio: Floats) -> Bools:
    """Return which ratios of feeds look like mixed-up units of length or time."""
    factor = np.maximum(ratio, 1 / ratio)
    return np.asarray(((factor > 20) & (factor < 30)) | ((factor > 50) & (factor < 70)))


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    chart = e.process.feed_mm_min
    cutting = e.travels & e.trace.torch & (e.trace.feed > 0) & ~unit_slip(np.maximum(e.trace.feed, 1e-9) / chart)
    for run in e.runs:
        rows = np.flatnonzero(cutting[run.first_row : run.last_row + 1]) + run.first_row
        if not len(rows):
            continue
        arcs = rows[e.trace.sweep[rows] != 0]
        radii = np.hypot(*(e.trace.start[arcs, :2] - e.trace.center[arcs]).T)
        least = LEAST * e.process.hole_feed(float(radii.min(initial=1e6)), e.machine.acceleration_mm_s2)
        low, high = rows[e.trace.feed[rows] < least], rows[e.trace.feed[rows] > MOST * chart]
        for odd in (low[:1], high[:1]):
            if len(odd):
                row = int(odd[0])
                message = f"this cuts at {e.trace.feed[row]:.0f} mm/min, the chart has {chart:.0f}"
                yield at_row(e, row, message, "take the feed of the chart")
                break


RULE = Rule("feed-off-chart", Severity.WARNING, _judge)
