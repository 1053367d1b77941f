"""An absolute Z in a frame that nobody knows.

Finds: G0 or G1 with Z before any Z datum of the program's own, or after it was cleared; G53 with Z, G28 and G30
where Z is not homed, because machine zero then lies wherever the torch was at power-up. Incremental moves and, on a
homed machine, those in machine coordinates are fine.

Matters: a datum left by another job makes the first Z word a plunge into the plate or a crash at the top.

Bad::

    Given: head
    G0 Z25
    G0 X10 Y50

Good::

    Machine: contact-float-homed
    Given: head
    G53 G0 Z0
    G0 X10 Y50

Do: raise by G53 on a homed machine; on others begin with X and Y only, from a height the operator parked.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

MACHINE_FRAME = ("G53", "G28", "G30")


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.machine.z_homed:
        yield from _unhomed(e)
    if not e.touches:
        return
    advice = "find the plate first, or use G53" if e.machine.z_homed else "find the plate first"
    plain = np.isin(e.trace.kind, (Step.RAPID, Step.FEED, Step.ARC)) & (e.trace.datum < 0)
    for row in np.flatnonzero(plain).tolist():
        line = e.line(row)
        if "Z" not in e.letters(line) or e.trace.text[row].startswith(MACHINE_FRAME):
            continue
        if e.state("distance", line) != "G91":
            yield at_row(e, row, "a Z word in a frame that nobody knows", advice)


def _unhomed(e: Evidence) -> Iterator[Hit]:
    """Tell Z moves in machine coordinates, whose zero nobody knows on this machine."""
    for row in np.flatnonzero(e.moves).tolist():
        word = e.trace.text[row][:3]
        if word in MACHINE_FRAME and (word != "G53" or "Z" in e.letters(e.line(row))):
            message = (
                f"{word} moves Z in machine coordinates, but Z is not homed: their zero is where the torch woke up"
            )
            yield at_row(e, row, message, "leave Z out, or home Z and say so in the machine file")


RULE = Rule("height-without-datum", Severity.ERROR, _judge)
