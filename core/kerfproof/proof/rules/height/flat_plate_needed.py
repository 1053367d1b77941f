"""A job without touch-off on a plate that can't be flat enough.

Finds: on a contact torch whose operator sets Z zero once, light-ups more than 300 mm apart.

Matters: lower plate: nothing lights; higher plate: the tip is driven into it. Flat within 0.3 mm is what it takes.

Bad::

    Machine: contact-none
    Given: head
    G0 X10 Y50
    M3
    G4 P0.4
    M5
    G0 Z5
    G0 X410 Y50
    M3
    G4 P0.4

Good::

    Program: bad
    G0 X410 Y50 -> G0 X210 Y50

Do: keep the job small, or set Z zero again on the way.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say
from kerfproof.shop.profile import StartKind

SPAN = 300.0


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.touches or e.machine.start is not StartKind.CONTACT or not e.runs:
        return
    places = np.array([run.start for run in e.runs])
    span = float(np.hypot(*(places - places[0]).T).max())
    if span > SPAN:
        run = e.runs[int(np.hypot(*(places - places[0]).T).argmax())]
        message = say(
            "this start lies {span} from the first, and no touch-off finds the plate there", span=mm(span, ".1f")
        )
        yield Hit(message, "keep the job small, or set Z zero again", run.light_line, run.start)


RULE = Rule("flat-plate-needed", Severity.WARNING, _judge)
