"""A Z datum outlives the program.

Finds: a Z datum that the control keeps after the program end (a note where nothing can clear it), or one that no
end word clears.

Matters: the next program that trusts Z begins in the wrong frame.

Bad::

    Control: offset
    Given: head
    G0 X10 Y50
    G4 P0.2
    G10 L20 P1 Z0
    G38.2 Z-84 F150
    G4 P0.2
    G10 L20 P1 Z-19.05
    G0 Z25
    M2

Good::

    Given: touched
    G0 Z25
    G92.1
    M2

Do: clear the Z shift after the last Z move; never trust Z at the top of a program.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    shifts = e.rows(Step.DATUM)
    if e.trace.stopped is not None:
        return
    if e.trace.modes.get("datum") != "set" or not len(shifts) or not e.touches:
        return
    row = int(shifts[-1])
    if e.control.datum_survives_end:
        severity = Severity.NOTE if not e.control.datum_clear else None
        yield at_row(e, row, "the control keeps this Z datum after the end", "never trust Z afterwards", severity)
    elif e.trace.modes.get("end") not in ("M2", "M30"):
        yield at_row(e, row, "this Z datum is never cleared", "clear it after the last Z move")


RULE = Rule("datum-left-behind", Severity.WARNING, _judge)
