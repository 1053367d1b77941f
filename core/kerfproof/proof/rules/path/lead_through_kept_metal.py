"""A lead whose kerf cuts metal to keep.

Finds: lead-ins and lead-outs of closed cuts whose kerf reaches farther into a drawn part than the cut itself: over
20 um an error, over 5 um a warning.

Matters: the notch is in the part.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 50 90
    G1 X19.25 Y79 F2200
    G1 Y19.25
    G1 X120.75
    G1 Y80.75
    G1 X19.25
    G1 Y79
    M5

Good::

    Program: outline
    G1 Y51 -> G1 Y50

Do: lead in and out through scrap only.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import DEVIATION_ERROR, DEVIATION_SEEN
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.swept is None:
        return
    told: set[int] = set()
    # A lead ends on the contour: where that gouges, the lead's end does too, and only the contour is to blame.
    own = np.zeros(len(e.runs))
    ring = e.path.ring_of() >= 0
    np.maximum.at(own, e.path.segments.owner[ring], e.swept.depth[ring])
    beyond = e.swept.depth - own[e.path.segments.owner]
    grave = (e.swept.depth > DEVIATION_ERROR) & (own[e.path.segments.owner] <= DEVIATION_ERROR)
    deep = np.flatnonzero(e.path.leads() & ((beyond > DEVIATION_SEEN) | grave))
    for segment in deep[np.argsort(-e.swept.depth[deep], kind="stable")].tolist():
        run = int(e.path.segments.owner[segment])
        if run not in told:
            told.add(run)
            depth = float(e.swept.depth[segment])
            severity = None if depth > DEVIATION_ERROR else Severity.WARNING
            message = say("the kerf of a lead reaches {depth} into metal to keep", depth=mm(depth, ".3f"))
            yield at_row(e, int(e.path.segments.index[segment]), message, "lead through scrap only", severity)


RULE = Rule("lead-through-kept-metal", Severity.ERROR, _judge, by_drawing=True)
