"""A search that moves sideways as well.

Finds: a search whose X or Y word leads away from where it begins.

Matters: the seated tip is dragged over the plate while the switch closes, Z stops at a place that nobody chose, and all
that follows stands there.

Bad::

    Program: search
    G38.2 Z-84 F150 -> G38.2 X14 Z-84 F150

Good::

    Program: search

Do: go to the place first, then search with Z alone.
"""

import math
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.simulated_table import SAME_PLACE
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    for row, search in zip(e.search_rows.tolist(), e.searches, strict=False):
        away = math.dist(search.start[:2], search.target[:2])
        if away > SAME_PLACE:
            message = say("this search drags the tip sideways, towards a place {away} away", away=mm(away, ".2f"))
            yield at_row(e, row, message, "go there first, then search with Z alone")


RULE = Rule("search-drags-sideways", Severity.ERROR, _judge)
