"""The program needs more room than the machine has.

Finds: motion that spans more than the travel in X or Y (with the work zero: a warning), travel that goes far beyond the
plate to no place of the machine file (warning), or heights (travel height, float, plate band) that span more than the
travel in Z (warning).

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
from kerfproof.geom.path import Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.runs import reach_of
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.height.travel_too_low import IN_MACHINE_FRAME
from kerfproof.sentence import mm, say

ROUNDED = 0.01
BESIDE = 30.0
"""So far beside the plate there is room on any table that holds it, mm."""


def _judge(e: Evidence) -> Iterator[Hit]:
    m = e.machine
    rows = np.flatnonzero(e.travels)
    if len(rows):
        boxes, at = reach_of(e.trace, rows)
        for axis, name, travel in ((0, "X", m.travel_x), (1, "Y", m.travel_y)):
            least, most = boxes[:, axis], boxes[:, axis + 2]
            low, high = float(min(least.min(), 0.0)), float(most.max())
            span = float(most.max() - least.min())
            row = int(at[most.argmax() if high > -low else least.argmin()])
            has = say("the machine has {travel}", travel=mm(travel))
            if span > travel:
                yield at_row(
                    e, row, say("{name} spans {span}, {has}", name=name, span=mm(span), has=has), "split the job"
                )
            elif max(high, 0.0) - low > travel:
                far = say(
                    "{name} spans {high} with the work zero, {has}", name=name, high=mm(max(high, 0.0) - low), has=has
                )
                yield at_row(e, row, far, "set zero on the table, or move the job", Severity.WARNING)
        yield from _beside(e, boxes, at)
    z = e.trace.end[:, 2]
    above = np.flatnonzero((z > ROUNDED) & m.z_homed)
    if len(above):
        row = int(above[0])
        message = say("Z goes {z} above the top of travel that homing has found", z=mm(round(float(z[row]), 3)))
        yield at_row(e, row, message, "Z0 in machine coordinates is the top: stay at it or below")
        return
    lifted = float(z.max() - z.min()) if len(z) else 0.0
    if lifted > m.travel_z + ROUNDED:
        row = int(z.argmax())
        message = say(
            "Z spans {lifted}, the machine has {travel_z}", lifted=mm(round(lifted, 3)), travel_z=mm(m.travel_z)
        )
        yield at_row(e, row, message, "mend the height, or travel lower")
        return
    known = np.flatnonzero(e.known & e.moves & (e.trace.datum >= 0))
    if len(known):
        row = int(known[e.height[known, 1].argmax()])
        need = float(e.height[row, 1]) + m.trip_depth + 2 * m.plate_height_band
        if need > m.travel_z and not e.trace.text[row].startswith("G53"):
            message = say(
                "Z needs {need} from raised to the lowest plate, the machine has {travel_z}",
                need=mm(need),
                travel_z=mm(m.travel_z),
            )
            yield at_row(e, row, message, "travel lower, or a narrower plate band", Severity.WARNING)


def _beside(e: Evidence, boxes: Floats, at: Ints) -> Iterator[Hit]:
    """Tell the farthest travel beyond the plate: where on the table that lies nobody knows, there may be no room."""
    if e.plate is None or e.mode not in ("cut", "touch"):
        return
    m, (x0, y0, x1, y1) = e.machine, e.plate
    low, high = np.minimum([x0, y0], 0.0), np.maximum([x1, y1], 0.0)
    over = np.maximum(low - boxes[:, :2], boxes[:, 2:] - high).max(axis=1)
    over[e.trace.torch[at]] = 0.0  # a cut off the plate is told by itself
    for k in np.flatnonzero(over > BESIDE).tolist():
        if e.trace.text[at[k]].startswith(IN_MACHINE_FRAME):
            over[k] = 0.0
    known = [(m.tip_change_x, m.tip_change_y), (m.witness_x, m.witness_y)]
    for x, y in ((x, y) for x, y in known if x is not None and y is not None):
        over[np.abs(boxes - [x, y, x, y]).max(axis=1) < 1.0] = 0.0
    if len(over) and over.max() > BESIDE:
        row = int(at[over.argmax()])
        message = say("travel goes {over} beyond the plate: the table may end before", over=mm(over.max(), ".1f"))
        yield at_row(e, row, message, "see that there is room, or mend the place", Severity.WARNING)


RULE = Rule("outside-travel", Severity.ERROR, _judge)
