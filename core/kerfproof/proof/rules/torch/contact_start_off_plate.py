"""A contact torch is lit with its tip off the plate.

Finds: a light-up of a contact-start torch with the tip more than 0.1 mm over the plate, or deeper than the float
allows, on the table as it should be.

Matters: a contact torch lights only in touch. Off the plate nothing lights, and the contour is run cold, with the
ignition firing into the wiring all along.

Bad::

    Given: touched
    G1 Z1.5 F900
    M3
    G4 P0.4

Good::

    Given: touched
    M3
    G4 P0.4

Do: light with the tip seated: 1 mm into the float on a floating head, at zero on a fixed one.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import CONTACT_GAP
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say
from kerfproof.shop.profile import StartKind, TouchOff

PRESSED = 0.3
"""A fixed head may press this far into the plate: the overrun of its touch."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.start is not StartKind.CONTACT:
        return
    deepest = e.machine.float_travel if e.machine.touch_off is TouchOff.FLOAT else PRESSED
    for row in e.lights[e.known[e.lights]].tolist():
        height = float(e.height[row, 1])
        if height > CONTACT_GAP:
            yield at_row(
                e,
                row,
                say("the torch lights {height} over the plate", height=mm(height, ".2f")),
                "go down to contact first",
            )
        elif height < -deepest:
            yield at_row(
                e,
                row,
                say("the torch lights {height} below tip contact", height=mm(-height, ".2f")),
                "rise to the preload first",
            )


RULE = Rule("contact-start-off-plate", Severity.ERROR, _judge)
