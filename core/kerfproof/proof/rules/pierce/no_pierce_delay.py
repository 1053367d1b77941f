"""The cut begins before the plate can be pierced.

Finds: less time between arc lit and the first move in the plane than the pierce delay of the process: dwells, Z
moves and the control's own delay together. Starts on the plate's edge need none.

Matters: the arc blows back into the tip and the cut begins with a ridge that does not let go.

Bad::

    Program: good
    G1 Z3 F900 ->
    G4 P0.3 ->

Good::

    Program: light-up

Do: wait for the pierce delay of the chart at pierce height.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

ROUNDED = 0.02
"""Times are written in milliseconds and rises counted without acceleration."""


def piercing(e: Evidence) -> tuple[Ints, Ints, Floats]:
    """Return the runs that move, the row of each that first does in the plane, and the seconds from arc lit to that."""
    passed = np.concatenate([[0.0], np.cumsum(np.where(e.travels, 0.0, e.trace.seconds))])
    runs = np.flatnonzero(e.first_travels >= 0)
    first, moves = e.first_rows[runs], e.first_travels[runs]
    waits = [e.waits_for_arc(a, b) for a, b in zip(first.tolist(), moves.tolist(), strict=True)]
    lit = np.where(np.array(waits, dtype=np.bool_), 0.0, e.machine.light_delay_s)
    return runs, moves, passed[moves] - passed[first] + e.machine.torch_on_delay_s - lit


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None or e.process.pierce_delay_s <= 0:
        return
    for number, row, spent in zip(*(a.tolist() for a in piercing(e)), strict=True):
        short = spent < e.process.pierce_delay_s - ROUNDED
        if short and not e.on_plate_edge(e.runs[number].start, e.process.kerf):
            message = f"the cut begins {max(spent, 0.0):.2f} s after the arc is lit, "
            message += f"piercing takes {e.process.pierce_delay_s:.2f} s"
            severity = None if spent < e.process.pierce_delay_s / 2 else Severity.WARNING
            yield at_row(e, row - 1, message, "dwell at pierce height", severity)


RULE = Rule("no-pierce-delay", Severity.ERROR, _judge)
