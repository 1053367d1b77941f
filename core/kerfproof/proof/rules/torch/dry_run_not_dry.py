"""A dry run or frame that lights the torch or goes down.

Finds: in a program meant to run raised: an on word, a search, or any Z move downward.

Matters: people stand nearer to a dry run than to a cut.

Bad::

    Mode: dry
    Given: head
    G0 X10 Y10
    M3

Good::

    Program: bad
    M3 -> G1 X50 F6000

Do: write the dry run without torch words and without Z.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.mode == "cut":
        return
    for row in e.lights.tolist():
        yield at_row(e, row, "the torch is lit in a dry run", "take the on word out")
    if e.mode == "touch":  # a piece that only touches the plate: searches are what it is for
        return
    for row in e.search_rows.tolist():
        yield at_row(e, row, "a search in a dry run", "take the touch-off out")
    down = e.moves & (e.trace.end[:, 2] < e.trace.start[:, 2] - 1e-6)
    for row in np.flatnonzero(down).tolist():
        yield at_row(e, row, "the torch goes down in a dry run", "stay raised")


RULE = Rule("dry-run-not-dry", Severity.ERROR, _judge)
