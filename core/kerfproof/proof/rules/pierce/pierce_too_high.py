"""The torch pierces too far above the plate.

Finds: a lit torch that rises, before it moves on, half as high again as the pierce height of the process (warning),
or so high that no arc reaches the plate (error).

Matters: the arc is drawn out until it goes out, and the cut that follows is run cold.

Bad::

    Program: light-up
    G1 Z3 F900 -> G1 Z8 F900

Good::

    Program: light-up

Do: pierce at the height of the chart, or at twice the cut height.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import PILOT_MOST
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    usual = max(e.process.pierce_height, 2 * e.process.cut_height, 2.0)
    runs = np.flatnonzero((e.first_travels > e.first_rows) & e.known[e.first_rows])
    pairs = np.column_stack([e.first_rows[runs], e.first_travels[runs]])
    tallest = np.maximum.reduceat(e.height[:, 1], pairs.ravel())[::2] if len(runs) else np.empty(0)
    for first, stop in pairs[tallest > 1.5 * usual].tolist():
        row = first + int(e.height[first:stop, 1].argmax())
        height = float(e.height[row, 1])
        if height > 1.5 * usual:
            message = say(
                "the torch rises to {height} before it moves on, piercing is done at {usual}",
                height=mm(height, ".1f"),
                usual=mm(usual, ".1f"),
            )
            grave = height > max(1.5 * usual, PILOT_MOST)
            yield at_row(e, row, message, "pierce at the height of the chart", None if grave else Severity.WARNING)


RULE = Rule("pierce-too-high", Severity.ERROR, _judge)
