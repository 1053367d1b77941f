"""The torch pierces lower than the chart asks.

Finds: a pierce before which the torch never rises to the pierce height of the process, or that is waited for below it,
where that height lies above the cut height: a warning, an error in plate over 3 mm. Starts on the plate's edge need
none.

Matters: the molten metal of the pierce is blown back into the tip and ruins it.

Bad::

    Program: good
    G1 Z3 F900 -> G1 Z1.5 F900
    G1 Z1.5 F900 ->

Good::

    Program: light-up

Do: rise to the pierce height of the chart once the arc is lit, pierce there, then go to cut height.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import CONTACT_GAP, HEIGHT_NEAR
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

THICK = 3.0
"""Up to this thickness a pierce at cut height costs tips, beyond it ruins them (common practice, no source), mm."""


def _judge(e: Evidence) -> Iterator[Hit]:
    p = e.process
    if p is None or p.pierce_height <= p.cut_height + HEIGHT_NEAR:
        return
    wanted = p.pierce_height - HEIGHT_NEAR
    runs = np.flatnonzero((e.first_travels >= 0) & e.known[e.first_rows])
    if not len(runs):
        return
    first, moves = e.first_rows[runs], e.first_travels[runs]
    pairs = np.column_stack([first, moves]).ravel()  # the first row of a run never moves in the plane before it burns
    begin = np.append(e.height[:, 0], -np.inf)
    tallest = np.maximum.reduceat(begin, np.minimum(pairs, len(e.trace)))[::2]
    tallest = np.maximum(tallest, e.height[moves, 0])
    waited = np.where(e.trace.kind == Step.DWELL, e.trace.value, 0.0)
    lower = (e.height[:, 0] > CONTACT_GAP) & (e.height[:, 0] < wanted)
    below, above = (np.concatenate([[0.0], np.cumsum(waited * m)]) for m in (lower, e.height[:, 0] >= wanted))
    below, above = below[moves] - below[first], above[moves] - above[first]
    short = (tallest < wanted) | ((below > p.pierce_delay_s / 2) & (below > above))
    for k in np.flatnonzero(short).tolist():
        run = e.runs[int(runs[k])]
        if e.on_plate_edge(run.start, p.kerf):
            continue
        top = float(tallest[k]) if tallest[k] < wanted else p.cut_height
        message = say(
            "the torch pierces {top} over the plate, the chart asks for {pierce_height}",
            top=mm(max(top, 0.0), ".2f"),
            pierce_height=mm(p.pierce_height, ".2f"),
        )
        severity = None if p.thickness > THICK else Severity.WARNING
        yield at_row(e, int(moves[k]) - 1, message, "pierce at the height of the chart", severity)


RULE = Rule("never-at-pierce-height", Severity.ERROR, _judge)
