"""Axis words without a motion word after a search.

Finds: lines that probe again only because the last motion word was a probing one.

Matters: after G38.2 the modal motion is G38.2, after G31 it depends on the control: the line searches again, or
moves at rapid speed.

Bad::

    Program: search
    Z-10

Good::

    Program: bad
    Z-10 -> G1 Z-10 F900

Do: write a motion word on every line of the start block.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

BARE_AXES = "bare axis words after"
"""How the reader says it."""


def _judge(e: Evidence) -> Iterator[Hit]:
    bare = [unread.line for unread in e.trace.unread if unread.reason.startswith(BARE_AXES)]
    for row in e.search_rows[np.isin(e.trace.line[e.search_rows], bare)].tolist():
        yield at_row(e, row, "bare axis words search again", "write the motion word")


RULE = Rule("bare-axes-after-probe", Severity.ERROR, _judge)
