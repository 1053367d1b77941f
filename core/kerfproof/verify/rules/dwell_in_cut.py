"""The torch stands still in the middle of a cut.

Finds: a dwell of 0.1 s and more between the first move of a cut and torch off; an error from 0.5 s on.

Matters: the arc eats a pit into both edges, and goes out once there is nothing left to burn to.

Bad::

    Given: burning
    G1 X30 F2200
    G4 P1
    G1 X50
    M5

Good::

    Given: burning
    G1 X30 F2200
    G1 X50
    M5

Do: dwell before the first move, while piercing, and nowhere later.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row

LEAST, LONG = 0.1, 0.5
"""Seconds: a pit that shows in the edge, and one of about the depth of a kerf (common practice, from memory)."""


def _judge(e: Evidence) -> Iterator[Hit]:
    seconds = np.where((e.trace.kind == Step.DWELL) & e.trace.torch, e.trace.value, 0.0)
    rows = np.flatnonzero(seconds >= LEAST)
    number = np.searchsorted(e.first_rows, rows, side="right") - 1
    moved = np.where(number >= 0, e.first_travels[number] if len(e.runs) else -1, -1)
    for row in rows[(moved >= 0) & (moved < rows)].tolist():
        severity = None if seconds[row] >= LONG else Severity.WARNING
        message = f"the torch burns {seconds[row]:g} s in one place in the middle of the cut"
        yield at_row(e, row, message, "take this dwell out", severity)


RULE = Rule("dwell-in-cut", Severity.ERROR, _judge)
