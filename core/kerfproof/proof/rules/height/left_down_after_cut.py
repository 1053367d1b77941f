"""The torch stays down after a cut.

Finds: a stop, a tool change or the program's end with the torch off and its tip lower than 2 mm over the plate
(warning: 5 mm), where it was not raised since the last cut.

Matters: the tip stands in the cut or on dross: hands reach in beside it, and the next travel drags it over the plate.

Bad::

    Program: good
    G0 Z25 ->

Good::

    Program: line
    M2

Do: raise to travel height after every cut, the last one included.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import TIP_UP_LOW
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

LOW = 2.0
"""Lower than this the tip catches dross, a bowed sheet or a tipped piece."""


def _judge(e: Evidence) -> Iterator[Hit]:
    n = len(e.trace)
    if not len(e.runs) or e.trace.stopped is not None:
        return
    told: set[int] = set()
    for row in _stands(e).tolist():
        run = int(np.searchsorted(e.last_rows, row)) - 1
        if run < 0 or run in told or e.trace.torch[row] or not e.known[row]:
            continue  # a touch-off before the first cut presses the tip on the plate by right
        ends = row == n - 1 or e.trace.kind[row] == Step.END
        # Before a stop the tip may have been lowered again for the next start; at the end nothing follows.
        since = row if ends else int(e.last_rows[run])
        height = float(e.height[since : row + 1, 1].max())
        if height < TIP_UP_LOW:
            told.add(run)
            what = "ends" if ends else "stops"
            message = say(
                "the program {what} with the torch left {height} over the plate after a cut",
                what=what,
                height=mm(height, ".1f"),
            )
            yield at_row(e, row, message, "raise before it", None if height < LOW else Severity.WARNING)


def _stands(e: Evidence) -> Ints:
    """Return the rows at which the machine stands still and hands come near, the last one always."""
    tools = [row for row in e.rows(Step.OUTPUT).tolist() if e.trace.text[row] == "M6"]
    stops = e.rows(Step.STOP, Step.OPTIONAL_STOP, Step.END)
    return np.unique(np.concatenate([stops, np.array([*tools, len(e.trace) - 1], dtype=np.int64)]))


RULE = Rule("left-down-after-cut", Severity.ERROR, _judge)
