"""A rapid move with the torch on.

Finds: G0 in the plane between torch on and torch off. A rapid of Z alone up to 6 mm is a warning.

Matters: at rapid speed the arc does not cut through, blows back and snaps; what it crosses is scrap.

Bad::

    Given: burning
    G0 X30
    M5

Good::

    Given: burning
    G1 X30 F2200
    M5
    G0 X60

Do: cut with G1, G2 or G3 and a feed, and put the torch out before each rapid.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_span, say

RISE = 6.0


def _judge(e: Evidence) -> Iterator[Hit]:
    rapid = (e.trace.kind == Step.RAPID) & e.trace.torch
    for row in np.flatnonzero(rapid & e.travels).tolist():
        yield at_row(e, row, "a rapid move with the torch on", "use a feed move, or put the torch out first")
    rise = np.abs(e.trace.end[:, 2] - e.trace.start[:, 2])
    for row in np.flatnonzero(rapid & ~e.travels & (rise > 1e-9)).tolist():
        severity = Severity.WARNING if rise[row] <= RISE else None
        yield at_row(
            e,
            row,
            "a rapid Z move with the torch on",
            say("rise with a feed of {span}", span=mm_span(600, 1200, between="-", unit="mm/min")),
            severity,
        )


RULE = Rule("rapid-with-torch-on", Severity.ERROR, _judge)
