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

    Given: burning at 70 50
    G1 X80 F2200
    G3 X60 Y50 I-10 J0
    G3 X80 Y50 I10 J0
    G3 X79.9499 Y51 I-10 J0
    M5
    G4 P0.3
    G0 Z25
    G0 X40

Do: raise before every travel, and go round large loose pieces.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Segments
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import TIP_UP_LOW
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    low = np.minimum(e.height[:, 0], e.height[:, 1]) < TIP_UP_LOW
    rows = np.flatnonzero(e.travels & ~e.trace.torch & e.moves & e.known & low)
    if not len(rows) or not len(e.stock.loose):
        return
    origin = np.array(e.trace.xy_origin)
    s = Segments.between(e.trace.start[rows, :2] - origin, e.trace.end[rows, :2] - origin, np.zeros(len(rows)))
    done = np.searchsorted(e.last_rows, rows)  # runs finished before each row
    k, _ = e.path.index.pairs(s.boxes())
    for number in np.unique(k).tolist():
        share = (np.arange(33) + 0.5) / 33
        points = s.points(np.full(33, number), share)
        asked = min(int(done[number]), len(e.runs) - 1)  # after the last run that one counts, too
        freed = e.stock.freed_by(points, np.full(33, asked), through=int(done[number]) > asked)
        if (freed >= 0).any():
            height = float(e.height[rows[number]].min())
            message = f"travel {height:.1f} mm over the plate, across a piece that is loose"
            yield at_row(e, int(rows[number]), message, "raise before travelling")


RULE = Rule("travel-low-over-freed", Severity.ERROR, _judge)
