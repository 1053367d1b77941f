"""A search that dives far below the plate when it misses.

Finds: a search that goes more than 2 mm deeper than float and plate band together need, from a known height; or a
first search, of the program or of another sheet, longer than the highest parking place needs.

Matters: a missed plate then becomes a dive between the slats with motor force.

Bad::

    Program: line
    G0 X80 Y60
    G4 P0.2
    G92 Z0
    G38.2 Z-90 F150

Good::

    Program: bad
    G38.2 Z-90 F150 -> G38.2 Z-49 F150

Do: search from the height you know: travel height + float + plate band + 1 mm.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

SPARE = 2.5


def _judge(e: Evidence) -> Iterator[Hit]:
    m = e.machine
    below = m.trip_depth + m.plate_height_band + SPARE
    longest = max(m.park_height_max, m.travel_z if m.z_homed else 0.0) + below
    heights = e.height[:, 0].take(e.search_rows).tolist()
    new_sheet = _on_new_sheet(e)
    for row, height, search in zip(e.search_rows.tolist(), heights, e.searches, strict=False):
        if search.number != 1:
            continue
        length = search.start[2] - search.target[2]
        raised = height > m.travel_height + SPARE  # fully raised: its height is known only roughly
        rough = search.pierce == 1 or raised or row in new_sheet  # another sheet may be of any thickness
        if length <= longest if rough else height - length >= -below:
            continue
        message = say("the search goes {length} below the trip", length=mm(length - height - m.trip_depth, ".1f"))
        yield at_row(e, row, message, say("search for height + float + band + {more}", more=mm(1)))


def _on_new_sheet(e: Evidence) -> set[int]:
    """Return the first search before the first run of each sheet but the first."""
    begins = np.flatnonzero(np.diff(e.stock.plate_of)) + 1
    before = np.searchsorted(e.search_rows, e.first_rows[begins - 1])
    return set(e.search_rows[before[before < len(e.search_rows)]].tolist())


RULE = Rule("search-too-deep", Severity.WARNING, _judge)
