"""A search that begins with the switch still closed.

Finds: a search that starts no higher than the last trip at the same place: on a floating head the way back of the
switch included, with a sense circuit still in contact with the plate.

Matters: most controls refuse a probing move whose input is closed already, others take the start as the trip.

Bad::

    Program: search
    G38.2 Z-84 F150

Good::

    Program: search
    G91 G1 Z2 F600
    G38.2 Z-3 F150

Do: raise until the switch lets go, then search again.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches:
        return
    for row, search in zip(e.search_rows.tolist(), e.searches, strict=False):
        if search.probed.tripped and search.probed.trip == search.start:
            yield at_row(e, row, "the search begins with the switch closed", "raise until it lets go first")


RULE = Rule("search-from-closed-switch", Severity.WARNING, _judge)
