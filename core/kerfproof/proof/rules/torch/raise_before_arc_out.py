"""The torch moves away before the arc is out.

Finds: a move after torch off with less than a third of the machine's arc-out time of dwell before it.

Matters: the dying arc is drawn up the edge or over the part.

Bad::

    Program: good
    G4 P0.3 ->

Good::

    Program: line

Do: dwell 0.2-0.5 s after the off word.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    needed = e.machine.arc_out_s / 3
    if needed <= 0:
        return
    off = e.rows(Step.TORCH_OFF)
    off = off[e.trace.torch[off]]
    waited, following = e.waits_after(off)
    for k in np.flatnonzero((waited < needed) & (following < len(e.trace))).tolist():
        message = f"the torch moves {waited[k]:.2f} s after torch off"
        yield at_row(e, int(off[k]), message, f"dwell {e.machine.arc_out_s:.2f} s after the off word")


RULE = Rule("raise-before-arc-out", Severity.WARNING, _judge)
