"""A feed that the machine can't do.

Finds: feed moves faster than the rapid speed of their axes.

Matters: the control runs slower than the chart asks (wide kerf) or the axis stalls.

Bad::

    Given: burning
    G1 X30 F9000

Good::

    Given: burning
    G1 X30 F2200

Do: take a row of the chart with less current, or set the machine's speeds right.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_min, say


def _judge(e: Evidence) -> Iterator[Hit]:
    lifts = ~e.travels & (np.abs(e.trace.end[:, 2] - e.trace.start[:, 2]) > 1e-9)
    for fast, most, axes in (
        (e.travels, e.machine.rapid_mm_min, "X and Y"),
        (lifts, e.machine.z_rapid_mm_min, "Z"),
    ):
        rows = np.flatnonzero(fast & e.moves & (e.trace.feed > most * 1.001))
        if len(rows):
            row = int(rows[0])
            message = say(
                "a feed of {feed}, {axes} can do {most}", feed=mm_min(e.trace.feed[row]), axes=axes, most=mm_min(most)
            )
            yield at_row(e, row, message, "less current, or a slower feed")


RULE = Rule("feed-beyond-machine", Severity.WARNING, _judge)
