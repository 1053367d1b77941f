"""The tip burns on the plate for too long.

Finds: a contact torch held on the plate longer than the light delay by half of it, and by 0.3 s at least.

Matters: the blow-back of the pierce goes into the tip and spoils it.

Bad::

    Given: touched
    M3
    G4 P2
    G1 Z1.5 F900

Good::

    Program: light-up
    G4 P0.3 -> G4 P1.6
    G1 X30 F2200 ->

Do: rise to pierce height when the arc is lit, and pierce there.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import CONTACT_GAP
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.shop.profile import StartKind

LEAST = 0.3
"""So much longer is told at least, s."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.start is not StartKind.CONTACT:
        return
    most = e.machine.light_delay_s + max(LEAST, e.machine.light_delay_s / 2)
    rows = e.lights[e.known[e.lights] & (e.height[e.lights, 1] <= CONTACT_GAP)]
    waited, _ = e.waits_after(rows)
    for k in np.flatnonzero(waited > most).tolist():
        message = f"the tip stays on the plate for {waited[k]:.2f} s, lighting takes {e.machine.light_delay_s:.2f} s"
        yield at_row(e, int(rows[k]), message, "rise to pierce height once it is lit")


RULE = Rule("contact-too-long", Severity.WARNING, _judge)
