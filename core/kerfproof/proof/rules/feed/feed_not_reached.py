"""A cut whose feed the table does not reach.

Finds: cuts of which more than a third of the length runs at less than half the programmed feed, for acceleration,
corners and arcs.

Matters: where the torch is slow the kerf widens and the edge burns; the chart's kerf does not hold there.

Bad::

    Given: burning at 10 50
    G1 X11 F2200
    G1 Y49
    G1 X12
    G1 Y48
    G1 X13
    G1 Y47
    M5

Good::

    Given: burning at 10 50
    G1 X110 F2200
    M5

Do: a chart row with less current and a slower feed.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.timing import below_feed
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

SHARE, OF_LENGTH, LEAST = 0.5, 1 / 3, 5.0


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.runs:
        return
    slow = np.concatenate([[0.0], np.cumsum(below_feed(e.trace, e.speeds, SHARE) * e.trace.torch)])
    length = slow[e.last_rows + 1] - slow[e.first_rows]
    whole = np.array([run.length for run in e.runs])
    for k in np.flatnonzero((whole > LEAST) & (length > OF_LENGTH * whole)).tolist():
        message = f"{length[k] / whole[k]:.0%} of this cut runs at less than half its feed"
        yield at_row(e, int(e.first_rows[k]), message, "less current and a slower feed")


RULE = Rule("feed-not-reached", Severity.NOTE, _judge)
