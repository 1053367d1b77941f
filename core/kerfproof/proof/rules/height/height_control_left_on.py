"""Height control is on where it must be off.

Finds: height control that is on when the torch lights, while the plate is pierced or in a move up or down without an
arc (an error), or when the torch goes
out (a warning; an off word that waits for the next motion holds it before anything moves).

Matters: with no arc or a young one the voltage says nothing, and the head dives into the plate.

Bad::

    Machine: pilot-height
    Given: head
    M64 P2
    M3

Good::

    Machine: pilot-height
    Given: head
    M65 P2
    M3
    M64 P2
    M65 P2
    M5

Do: switch it off before every off word, and on only at cut height.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.lines import waits_for_motion
from kerfproof.proof.limits import NUDGE
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.touch_off.sense_left_connected import switched_on


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.extra_lines.get("height_control_off"):
        return
    names = ("height_control_on", "height_control_off")
    for row in switched_on(e, *names, e.lights):
        yield at_row(e, row, "the torch lights with height control on", "switch it off first")
    for row in switched_on(e, *names, _waiting(e)):
        yield at_row(e, row, "height control is on while the plate is pierced", "switch it on once the cut moves")
    for row in switched_on(e, *names, e.search_rows)[:1]:
        yield at_row(e, row, "the plate is searched with height control on", "switch it off with the torch")
    lifts = np.flatnonzero(e.moves & ~e.trace.torch & (np.abs(e.trace.end[:, 2] - e.trace.start[:, 2]) > NUDGE))
    for row in switched_on(e, *names, lifts)[:1]:
        yield at_row(e, row, "the torch goes up or down with height control on", "switch it off with the torch")
    travels = np.flatnonzero(e.travels & e.moves & ~e.trace.torch)
    for row in switched_on(e, *names, travels)[:1]:
        yield at_row(e, row, "travel with height control on", "switch it off with the torch", Severity.WARNING)
    for row in switched_on(e, *names, np.array([len(e.trace) - 1])) if len(e.trace) else []:
        yield at_row(e, row, "height control is still on at the end", "switch it off with the torch", Severity.WARNING)
    out = e.rows(Step.TORCH_OFF)
    late = waits_for_motion(e.extra_lines["height_control_off"])
    for row in switched_on(e, *names, out[e.trace.torch[out]]) if not late else []:
        yield at_row(e, row, "the torch goes out with height control on", "switch it off first", Severity.WARNING)


def _waiting(e: Evidence) -> Ints:
    """Return of each run the last row before it moves in the plane in which the torch waits, rises or lowers."""
    rows = np.flatnonzero((e.trace.kind == Step.DWELL) | (e.moves & ~e.travels))
    runs = np.flatnonzero(e.first_travels >= 0)
    last = np.searchsorted(rows, e.first_travels[runs]) - 1
    inside = (last >= 0) & (rows[np.maximum(last, 0)] > e.first_rows[runs]) if len(rows) else np.zeros(0, np.bool_)
    return np.asarray(rows[last[inside]] if len(rows) else rows)


RULE = Rule("height-control-left-on", Severity.ERROR, _judge)
