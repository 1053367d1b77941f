"""A search with the torch on.

Finds: a probing move while the torch is on.

Matters: the burning torch is driven into the plate.

Bad::

    Given: burning
    G1 X30 F2200
    G38.2 Z-30 F150

Good::

    Program: line
    G0 Z25 -> G38.2 Z-30 F150

Do: put the torch out before every touch-off.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    for row in e.search_rows[e.trace.torch[e.search_rows]].tolist():
        yield at_row(e, row, "a search with the torch on", "put the torch out first")


RULE = Rule("touch-off-with-torch-on", Severity.ERROR, _judge)
