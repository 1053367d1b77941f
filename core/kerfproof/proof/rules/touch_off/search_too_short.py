"""A search that can't reach the trip.

Finds: a first search that ends above the trip (error), or that a plate at the low end of its band would escape
(warning).

Matters: the program stops at every pierce, or takes the end of the search for the plate.

Bad::

    Program: search
    G38.2 Z-84 F150 -> G38.2 Z-30 F150

Good::

    Program: search

Do: search for height + float + plate band + 1 mm.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    trip, band = e.machine.trip_depth, e.machine.plate_height_band
    for row, search in zip(e.search_rows.tolist(), e.searches, strict=False):
        if search.number != 1:
            continue
        reached = float(e.height[row, 0]) + search.target[2] - search.start[2]
        if reached > -trip + 0.01:
            message = say("the search ends {reached} above the trip", reached=mm(reached + trip, ".1f"))
            yield at_row(e, row, message, say("search for height + float + band + {more}", more=mm(1)))
        elif reached > -trip - band + 0.01:
            message = say(
                "the search misses a plate that lies {reached} less than its band low",
                reached=mm(reached + trip + band, ".1f"),
            )
            yield at_row(
                e, row, message, say("search for height + float + band + {more}", more=mm(1)), Severity.WARNING
            )


RULE = Rule("search-too-short", Severity.ERROR, _judge)
