"""A tiny arc that the control reads as a full circle.

Finds: arcs whose ends coincide (a full circle) and whose radius is no larger than half the kerf, and arcs that run
almost all round between two ends that nearly coincide.

Matters: rounding made start and end of a short arc equal; the control then burns a whole circle.

Bad::

    Given: burning
    G1 X20 F2200
    G2 X20 Y50 I0.2 J0
    G1 X30

Good::

    Program: bad
    G2 X20 Y50 I0.2 J0 -> G2 X20 Y50 I5 J0

Do: leave such an arc out, or write it as a line.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

NEARLY = 0.02
"""So much short of a full turn (radians) still counts as one."""


def _judge(e: Evidence) -> Iterator[Hit]:
    arcs = np.flatnonzero((e.trace.kind == Step.ARC) & (np.abs(e.trace.sweep) > 2 * np.pi - NEARLY))
    smallest = max(e.half_kerf, 0.5)
    for row in arcs.tolist():
        radius = float(np.hypot(*(e.trace.start[row, :2] - e.trace.center[row])))
        closed = bool(np.abs(e.trace.end[row] - e.trace.start[row])[:2].max() < 1e-9)
        if closed and radius <= smallest:
            yield at_row(e, row, say("a full circle of radius {radius}", radius=mm(radius, ".3f")), "leave the arc out")
        elif not closed:
            yield at_row(e, row, "an arc almost all round between nearly equal ends", "check its centre")


RULE = Rule("collapsed-arc", Severity.ERROR, _judge)
