"""Z zero is not where the tip touches the plate.

Finds: a light-up where the height that the program believes in differs from the true one by more than 0.2 mm on
the table as it should be. On a floating head the switch trips a whole float below contact, so the datum there is
minus the float; zero and plus the float are named.

Matters: the cut is then that much too high or too low; a forgotten float drags the tip over the plate.

Bad::

    Program: search
    G4 P0.2
    G92 Z0
    G1 Z-1 F1000
    M3
    G4 P0.4

Good::

    Given: touched
    M3
    G4 P0.4

Do: go back to the trip, dwell, and set Z to minus the float.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import DATUM_OFF
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches:
        return
    rows = e.lights[e.known[e.lights]]
    away, shifts = e.trace.frame_z[rows, 1] - e.height[rows, 1], e.shifts_before(rows)
    for k in np.flatnonzero((np.abs(away) > DATUM_OFF) & (shifts >= 0)).tolist():
        off = float(away[k])
        message = say("Z zero lies {off} off tip contact{why}", off=mm(off, "+.2f"), why=_why(e, off))
        yield at_row(e, int(shifts[k]), message, "set Z to minus the float")


def _why(e: Evidence, off: float) -> str:
    trip = e.machine.trip_depth
    if trip and abs(off - trip) < 0.5:
        return ": the float was forgotten"
    if trip and abs(off - 2 * trip) < 0.5:
        return ": the float has the wrong sign"
    return ""


RULE = Rule("datum-not-float", Severity.ERROR, _judge)
