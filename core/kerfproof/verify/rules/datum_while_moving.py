"""The Z datum is set while the axis may still move.

Finds: a Z datum with no dwell between it and the move before: an error after a search, else a warning.

Matters: the carriage runs on after a trip, and some controls apply the datum when they read the line, not when the
motion gets there. Two millimetres of back-off put a contact torch 2 mm over the plate at light-up.

Bad::

    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F150
    G92 Z-19.05
    G1 Z-1 F1000

Good::

    Given: touched
    M3
    G4 P0.4

Do: dwell 0.1-0.2 s before every datum word.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row

LEAST = 0.05


def _judge(e: Evidence) -> Iterator[Hit]:
    for row in e.rows(Step.DATUM).tolist():
        place = int(np.searchsorted(e.moving, row)) - 1
        used = place + 1 < len(e.moving)  # a datum after the last move moves nothing
        if place < 0 or not used or e.trace.datum[row] < 0:
            continue
        last = int(e.moving[place])
        if e.dwelt[row] - e.dwelt[last] < LEAST:
            severity = None if e.trace.kind[last] == Step.PROBE else Severity.WARNING
            yield at_row(e, row, "the Z datum is set right after a move", "dwell 0.1-0.2 s before it", severity)


RULE = Rule("datum-while-moving", Severity.ERROR, _judge)
