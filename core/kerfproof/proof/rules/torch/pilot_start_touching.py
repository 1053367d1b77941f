"""A pilot-arc torch is lit too near to the plate, or too far from it.

Finds: a light-up of a pilot-arc torch below 1 mm (error) or above 6 mm (warning).

Matters: near the plate the pilot arc doubles and welds the tip; far from it the arc does not transfer.

Bad::

    Program: good
    G1 Z3 F1000 ->

Good::

    Machine: pilot-float
    Given: touched
    G1 Z3 F1000
    M3
    G4 P0.4

Do: light at twice the cut height, at least 2 mm over the plate.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import PILOT_LEAST, PILOT_MOST
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say
from kerfproof.shop.profile import StartKind


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.start is not StartKind.PILOT:
        return
    for row in e.lights[e.known[e.lights]].tolist():
        height = float(e.height[row, 1])
        if height < PILOT_LEAST - 1e-6:
            yield at_row(
                e,
                row,
                say("the pilot arc lights {height} over the plate", height=mm(height, ".2f")),
                "light at twice the cut height",
            )
        elif height > PILOT_MOST:
            message = say("the pilot arc lights {height} over the plate and may not transfer", height=mm(height, ".2f"))
            yield at_row(e, row, message, "light at twice the cut height", Severity.WARNING)


RULE = Rule("pilot-start-touching", Severity.ERROR, _judge)
