"""The cut begins before the plate can be pierced.

Finds: less time between arc lit and the first move in the plane than the pierce delay of the process: dwells, Z
moves and the control's own delay together. Starts on the plate's edge need none.

Matters: the arc blows back into the tip and the cut begins with a ridge that does not let go.

Bad::

    Given: touched
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X30 F2200

Good::

    Given: touched
    M3
    G4 P0.4
    G1 Z3 F900
    G4 P0.3
    G1 Z1.5 F900
    G1 X30 F2200

Do: wait for the pierce delay of the chart at pierce height.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.proof import Run
from kerfproof.verify.rule import Hit, Rule, at_row

ROUNDED = 0.02
"""Times are written in milliseconds and rises counted without acceleration."""


def piercing(e: Evidence) -> Iterator[tuple[Run, int, float]]:
    """Yield each run with the row that first moves in the plane, and the seconds between arc lit and that."""
    passed = np.concatenate([[0.0], np.cumsum(np.where(e.travels, 0.0, e.trace.seconds))])
    for run in e.runs:
        row = e.first_travel(run)
        if row is not None:
            lit = 0.0 if e.waits_for_arc(run.first_row, row) else e.machine.light_delay_s
            yield run, row, float(passed[row] - passed[run.first_row]) + e.machine.torch_on_delay_s - lit


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None or e.process.pierce_delay_s <= 0:
        return
    for run, row, spent in piercing(e):
        if e.on_plate_edge(run.start, e.process.kerf):
            continue
        if spent < e.process.pierce_delay_s - ROUNDED:
            message = f"the cut begins {max(spent, 0.0):.2f} s after the arc is lit, "
            message += f"piercing takes {e.process.pierce_delay_s:.2f} s"
            severity = None if spent < e.process.pierce_delay_s / 2 else Severity.WARNING
            yield at_row(e, row - 1, message, "dwell at pierce height", severity)


RULE = Rule("no-pierce-delay", Severity.ERROR, _judge)
