"""A burning torch is driven down onto the plate.

Finds: a Z move with the torch on that ends deeper than the torch was lit, or, once the torch has left the plate, lower
than any cut height.

Matters: the burning tip is pressed into the plate or its own slag, shorts, and is gone with the first such move.

Bad::

    Given: touched
    M3
    G4 P0.4
    G1 Z-5 F900
    G1 Z3 F900
    G4 P0.3
    G1 Z1.5 F900
    G1 X30 F2200

Good::

    Program: bad
    G1 Z-5 F900 ->

Do: take the lit torch up to pierce height, then down to cut height, no lower.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import CONTACT_BAND, CONTACT_GAP, HEIGHT_BAND
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    lowest = HEIGHT_BAND[0] if e.process is None else min(HEIGHT_BAND[0], e.process.cut_height - CONTACT_BAND)
    begin, end = e.height.T
    low = np.flatnonzero(e.trace.torch & e.moves & e.known & ~e.travels & (end < begin) & (end < lowest))
    told: set[int] = set()
    for row in low.tolist():
        run = int(np.searchsorted(e.first_rows, row, side="right")) - 1
        if run < 0 or run in told:
            continue
        first = int(e.first_rows[run])
        lit, tallest = float(begin[first]), float(begin[first : row + 1].max())
        height = float(end[row])
        if tallest > CONTACT_GAP or height < lit - CONTACT_BAND:
            told.add(run)
            where = (
                say("{height} over the plate", height=mm(height, ".2f"))
                if height > 0
                else say("{height} below tip contact", height=mm(-height, ".2f"))
            )
            yield at_row(
                e,
                row,
                say("the burning torch is driven down to {where}", where=where),
                "stay at pierce and cut height",
            )


RULE = Rule("lit-torch-driven-down", Severity.ERROR, _judge)
