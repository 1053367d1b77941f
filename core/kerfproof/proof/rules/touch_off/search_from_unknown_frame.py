"""A search whose length depends on what the control remembers.

Finds: a probing move to an absolute Z before the program set a Z datum of its own.

Matters: with a stale frame the search has any length, or goes up.

Bad::

    Given: head
    G0 X10 Y50
    G38.2 Z-84 F150

Good::

    Program: search

Do: stand still, set a provisional datum (G92 Z0), then search.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    rows = e.search_rows[e.trace.datum[e.search_rows] < 0]
    for row in rows.tolist():
        if e.state("distance", e.line(row)) != "G91":
            yield at_row(e, row, "a search from a frame that nobody knows", "set Z to 0 while standing still first")


RULE = Rule("search-from-unknown-frame", Severity.ERROR, _judge)
