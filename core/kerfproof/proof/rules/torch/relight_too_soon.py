"""The torch is triggered again too soon.

Finds: less time between torch off and the next torch on than the machine's lockout, dwells, searches and travel
counted.

Matters: many small power sources ignore a trigger during post-flow; the cut is then run cold.

Bad::

    Program: good
    G4 P0.8 ->

Good::

    Given: burning
    G1 X30 F2200
    M5
    G4 P0.3
    G4 P0.8
    M3
    G4 P0.4

Do: dwell for the rest of the lockout before the on word.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Floats
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

SHORT_BY = 0.9
"""Times without acceleration are this rough."""


def _judge(e: Evidence) -> Iterator[Hit]:
    needed = e.machine.min_off_time_s * SHORT_BY
    off = e.rows(Step.TORCH_OFF)
    off = off[e.trace.torch[off]]
    clock = np.concatenate([[0.0], np.cumsum(_seconds(e))])
    place = np.searchsorted(off, e.lights)
    rows = e.lights[place > 0]
    out = clock[rows] - clock[off[place[place > 0] - 1]]
    for k in np.flatnonzero(out < needed).tolist():
        message = f"the torch is lit {out[k]:.2f} s after it went off, it needs {e.machine.min_off_time_s:.2f} s"
        yield at_row(e, int(rows[k]), message, "dwell before the on word")


def _seconds(e: Evidence) -> Floats:
    """Return the seconds of each row, rapids at the machine's speed."""
    move = np.abs(e.trace.end - e.trace.start)
    plane = np.maximum(move[:, 0], move[:, 1]) / e.machine.rapid_mm_min
    rapid = 60.0 * np.maximum(plane, move[:, 2] / e.machine.z_rapid_mm_min)
    return np.where(e.trace.kind == Step.RAPID, rapid, np.maximum(e.trace.seconds, 0.0))


RULE = Rule("relight-too-soon", Severity.WARNING, _judge)
