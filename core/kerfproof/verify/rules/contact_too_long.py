"""The tip burns on the plate for too long.

Finds: a contact torch held on the plate more than one second longer than the light delay.

Matters: the blow-back of the pierce goes into the tip and spoils it.

Bad::

    Given: touched
    M3
    G4 P2
    G1 Z1.5 F900

Good::

    Given: touched
    M3
    G4 P0.4
    G1 Z3 F900
    G4 P1.6
    G1 Z1.5 F900

Do: rise to pierce height when the arc is lit, and pierce there.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.machine.profile import StartKind
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import CONTACT_GAP
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.start is not StartKind.CONTACT:
        return
    for row in e.lights[e.known[e.lights]].tolist():
        waited, _ = e.wait_after(row)
        if e.height[row, 1] <= CONTACT_GAP and waited > e.machine.light_delay_s + 1.0:
            message = f"the arc burns {waited:.1f} s with the tip on the plate"
            yield at_row(e, row, message, "rise to pierce height once it is lit")


RULE = Rule("contact-too-long", Severity.WARNING, _judge)
