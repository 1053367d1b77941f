"""Z zero is not where the tip touches the plate.

Finds: a light-up where the height that the program believes in differs from the true one by more than 0.2 mm on
the table as it should be. On a floating head the switch trips a whole float below contact, so the datum there is
minus the float; zero and plus the float are named.

Matters: the cut is then that much too high or too low; a forgotten float drags the tip over the plate.

Bad::

    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F150
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

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import DATUM_OFF
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches:
        return
    for row in e.lights[e.known[e.lights]].tolist():
        off = float(e.trace.frame_z[row, 1] - e.height[row, 1])
        shift = e.last_shift(row)
        if abs(off) > DATUM_OFF and shift is not None:
            yield at_row(
                e, shift, f"Z zero lies {off:+.2f} mm off tip contact{_why(e, off)}", "set Z to minus the float"
            )


def _why(e: Evidence, off: float) -> str:
    trip = e.machine.trip_depth
    if trip and abs(off - trip) < 0.5:
        return ": the float was forgotten"
    if trip and abs(off - 2 * trip) < 0.5:
        return ": the float has the wrong sign"
    return ""


RULE = Rule("datum-not-float", Severity.ERROR, _judge)
