"""An absolute Z in the work frame where nobody knows that frame.

Finds: G0 or G1 with Z before any Z datum of the program's own, or after it was cleared. Moves in machine
coordinates (G53) and incremental moves are fine.

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
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches:
        return
    plain = np.isin(e.trace.kind, (Step.RAPID, Step.FEED, Step.ARC)) & (e.trace.datum < 0)
    for row in np.flatnonzero(plain).tolist():
        line = e.line(row)
        if "Z" not in e.line_words(line) or e.trace.text[row].startswith(("G53", "G28", "G30")):
            continue
        if e.state("distance", line) != "G91":
            yield at_row(e, row, "a Z word in a frame that nobody knows", "find the plate first, or use G53")


RULE = Rule("height-without-datum", Severity.ERROR, _judge)
