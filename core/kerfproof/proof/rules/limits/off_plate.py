"""A cut that lies off the plate.

Finds: pierces more than 3 mm outside the plate, and drawn parts that reach beyond it; torch-on path beyond it is a
warning.

Matters: there is no metal; the arc does not light or goes out, and the part is not whole.

Bad::

    Plate: 0 0 100 100
    Given: burning at 110 50
    G1 X90 F2200
    M5

Good::

    Program: bad
    Given: burning at 20 50

Do: move the job onto the plate, or take a larger one.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import Severity
from kerfproof.geom.path import Floats
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.runs import reach_of
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

EDGE_START = 3.0


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.plate is None:
        return
    for number in np.flatnonzero(_beyond(e.plate, np.column_stack([e.starts, e.starts])) > EDGE_START).tolist():
        run = e.runs[number]
        yield Hit("the torch pierces off the plate", "move the job onto the plate", run.light_line, run.start)
    if e.kept is not None:
        over = _beyond(e.plate, e.kept.region.boxes)
        for contour in np.flatnonzero(over > 1e-6).tolist():
            x, y = e.kept.contours[contour].path.start
            message = say("a drawn part reaches {over} beyond the plate", over=mm(over[contour], ".1f"))
            yield Hit(message, "move the job onto the plate", at=(float(x), float(y)))
    yield from _unlit(e, e.plate)
    over = _beyond(e.plate, e.path.index.boxes)
    beyond = np.flatnonzero(over > EDGE_START + e.half_kerf)
    if len(beyond):
        row = int(e.path.segments.index[beyond[0]])
        message = say("the torch path reaches {over} beyond the plate", over=mm(over.max(), ".1f"))
        yield at_row(e, row, message, "move the job onto the plate", Severity.WARNING)


def _unlit(e: Evidence, plate: Box) -> Iterator[Hit]:
    """Tell a raised run whose way leaves the plate that it is to show."""
    if e.mode not in ("dry", "frame", "tour"):
        return
    rows = np.flatnonzero(e.travels & e.moves)
    boxes, at = reach_of(e.trace, rows)
    over = _beyond(plate, boxes)
    if len(rows) and over.max() > EDGE_START + e.half_kerf:
        row = int(at[over.argmax()])
        yield at_row(
            e, row, say("the way goes {over} beyond the plate", over=mm(over.max(), ".1f")), "go over the plate alone"
        )


def _beyond(plate: Box, boxes: Floats) -> Floats:
    """Return how far boxes (k, 4) reach beyond the plate (k,), negative for those within."""
    x0, y0, x1, y1 = plate
    return np.maximum(np.maximum(x0 - boxes[:, 0], y0 - boxes[:, 1]), np.maximum(boxes[:, 2] - x1, boxes[:, 3] - y1))


RULE = Rule("off-plate", Severity.ERROR, _judge, by_drawing=True)
