"""The head is driven past its float.

Finds: on a floating head the carriage deeper than the float's hard stop, on a fixed one more than 0.5 mm into the
plate, on the table as it should be.

Matters: the motor presses the tip into the plate with full force.

Bad::

    Given: touched
    G1 Z-35 F900

Good::

    Given: touched
    G1 Z-1 F900

Do: check the float's sign and stroke in the machine file.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say
from kerfproof.shop.profile import TouchOff

PRESSED = 0.5


def _judge(e: Evidence) -> Iterator[Hit]:
    deepest = e.machine.float_stroke if e.machine.touch_off is TouchOff.FLOAT else PRESSED
    down = e.trace.end[:, 2] < e.trace.start[:, 2] - 1e-9
    for row in np.flatnonzero(down & e.known & (e.height[:, 1] < -deepest)).tolist():
        yield at_row(
            e,
            row,
            say("the head is driven {height} below tip contact", height=mm(-e.height[row, 1], ".1f")),
            "check the float",
        )


RULE = Rule("float-bottomed", Severity.ERROR, _judge)
