"""Low travel over a piece that is loose.

Finds: torch-off travel lower than 5 mm over the place of a freed piece.

Matters: a tipped piece catches the head.

Bad::

    Given: burning at 70 50
    G1 X80 F2200
    G3 X60 Y50 I-10 J0
    G3 X80 Y50 I10 J0
    G3 X79.9499 Y51 I-10 J0
    M5
    G4 P0.3
    G0 Z2
    G0 X40

Good::

    Program: bad
    G0 Z2 -> G0 Z25

Do: raise before every travel, and go round large loose pieces.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.along import split_along
from kerfproof.geom.index import Index
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.runs import segments_of
from kerfproof.proof.limits import TIP_UP_LOW
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

AT_RIM = 1e-3
"""Travel that keeps this near to the edge of a piece is not over it, mm."""


def _judge(e: Evidence) -> Iterator[Hit]:
    low = np.minimum(e.height[:, 0], e.height[:, 1]) < TIP_UP_LOW
    rows = np.flatnonzero(e.travels & ~e.trace.torch & e.moves & e.known & low)
    if not len(rows) or not len(e.stock.loose):
        return
    s = segments_of(e.trace, rows, np.arange(len(e.trace)))
    _, near = Index(s.boxes()).pairs(e.stock.region.boxes)
    rims = e.stock.loose.segments()
    # Cut where they cross the rim of a piece, so that the middle of each stretch speaks for all of it.
    s = split_along(s, rims, AT_RIM)[0] if len(near) else s.take(near)
    done = np.searchsorted(e.last_rows, s.owner)  # runs finished before each row
    middles = s.points(np.arange(len(s)), np.full(len(s), 0.5))
    asked = np.minimum(done, len(e.runs) - 1)
    freed, last = e.stock.freed_by(middles, asked), done > asked  # after the last run that one counts, too
    freed[last] = e.stock.freed_by(middles[last], asked[last], through=True)
    for row in np.unique(s.owner[(freed >= 0) & (s.lengths() > 2 * AT_RIM)]).tolist():
        height = float(e.height[row].min())
        message = say("travel {height} over the plate, across a piece that is loose", height=mm(height, ".1f"))
        yield at_row(e, row, message, "raise before travelling")


RULE = Rule("travel-low-over-freed", Severity.ERROR, _judge)
