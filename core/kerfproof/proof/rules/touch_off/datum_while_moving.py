"""The Z datum is set while the axis may still move.

Finds: a Z datum with no dwell between it and the move before: an error after a search, else a warning. After a search
that stops the program when it misses it is a warning, too, if the control does not back off: such a control waits for
the end of the search (NISTIR 6556, A.1), or it could not stop there.

Matters: the carriage runs on after a trip, and some controls apply the datum when they read the line, not when the
motion gets there. Two millimetres of back-off put a contact torch 2 mm over the plate at light-up.

Bad::

    Control: skip
    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G31 Z-84 F150
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
from kerfproof.gcode.dialect import ProbeMiss
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

LEAST = 0.05


def _judge(e: Evidence) -> Iterator[Hit]:
    waits = e.control.probe_miss is not ProbeMiss.SILENT and not e.control.control_back_off
    rows = e.shift_rows[e.trace.datum[e.shift_rows] >= 0]
    place = np.searchsorted(e.moving, rows)
    between = (place > 0) & (place < len(e.moving))  # a datum after the last move moves nothing
    rows, last = rows[between], e.moving[place[between] - 1]
    for k in np.flatnonzero(e.dwelt[rows] - e.dwelt[last] < LEAST).tolist():
        searched = e.trace.kind[last[k]] == Step.PROBE
        severity = None if searched and not waits else Severity.WARNING
        yield at_row(e, int(rows[k]), "the Z datum is set right after a move", "dwell 0.1-0.2 s before it", severity)


RULE = Rule("datum-while-moving", Severity.ERROR, _judge)
