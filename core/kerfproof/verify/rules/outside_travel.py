"""The program needs more room than the machine has.

Finds: motion that spans more than the travel in X or Y, or heights (travel height, float, plate band) that span more
than the travel in Z (warning).

Matters: an axis runs into its end, loses steps, and everything after it is cut elsewhere.

Bad::

    Given: head
    G0 X10 Y10
    G0 X900 Y10

Good::

    Given: head
    G0 X10 Y10
    G0 X500 Y10

Do: move or split the job, or take a machine that holds it.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.units import exactly
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row
from kerfproof.verify.runs import reach_of

ROUNDED = 0.01


def _judge(e: Evidence) -> Iterator[Hit]:
    m = e.machine
    rows = np.flatnonzero(e.travels)
    if len(rows):
        boxes, at = reach_of(e.trace, rows)
        for axis, name, travel in ((0, "X", m.travel_x), (1, "Y", m.travel_y)):
            least, most = boxes[:, axis], boxes[:, axis + 2]
            low, high = float(min(least.min(), 0.0)), float(most.max())
            span = float(most.max() - least.min())
            if span > travel:
                row = int(at[most.argmax() if high > -low else least.argmin()])
                yield at_row(
                    e, row, f"{name} spans {exactly(span)} mm, the machine has {exactly(travel)} mm", "split the job"
                )
    z = e.trace.end[:, 2]
    above = np.flatnonzero((z > ROUNDED) & m.z_homed)
    if len(above):
        row = int(above[0])
        message = f"Z goes {exactly(round(float(z[row]), 3))} mm above the top of travel that homing has found"
        yield at_row(e, row, message, "Z0 in machine coordinates is the top: stay at it or below")
        return
    lifted = float(z.max() - z.min()) if len(z) else 0.0
    if lifted > m.travel_z + ROUNDED:
        row = int(z.argmax())
        message = f"Z spans {exactly(round(lifted, 3))} mm, the machine has {exactly(m.travel_z)} mm"
        yield at_row(e, row, message, "mend the height, or travel lower")
        return
    known = np.flatnonzero(e.known & e.moves & (e.trace.datum >= 0))
    if len(known):
        row = int(known[e.height[known, 1].argmax()])
        need = float(e.height[row, 1]) + m.trip_depth + 2 * m.plate_height_band
        if need > m.travel_z and not e.trace.text[row].startswith("G53"):
            message = (
                f"Z needs {exactly(need)} mm from raised to the lowest plate, the machine has {exactly(m.travel_z)} mm"
            )
            yield at_row(e, row, message, "travel lower, or a narrower plate band", Severity.WARNING)


RULE = Rule("outside-travel", Severity.ERROR, _judge)
