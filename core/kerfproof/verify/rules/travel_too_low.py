"""Travel at cutting height with the torch off.

Finds: torch-off travel of more than 6 mm lower than 2 mm over the plate.

Matters: the tip catches dross, a bowed sheet or a tipped piece.

Bad::

    Given: burning
    G1 X30 F2200
    M5
    G4 P0.3
    G0 X80

Good::

    Given: burning
    G1 X30 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X80

Do: raise to travel height after every cut.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row

LOW, SHORT = 2.0, 6.0


def _judge(e: Evidence) -> Iterator[Hit]:
    moving = np.isin(e.trace.kind, (Step.RAPID, Step.FEED, Step.ARC)) & e.travels & ~e.trace.torch & e.known
    for row in np.flatnonzero(moving & (e.length > SHORT) & (e.height.min(axis=1) < LOW)).tolist():
        message = f"travel {e.height[row].min():.1f} mm over the plate with the torch off"
        yield at_row(e, row, message, "raise before travelling")


RULE = Rule("travel-too-low", Severity.ERROR, _judge)
