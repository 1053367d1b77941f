"""A pierce on the spatter of another.

Finds: a pierce nearer than two crater radii to an earlier one on the same plate.

Matters: the tip lands on spatter, finds the plate too high and lights badly.

Bad::

    Given: burning at 10 50
    M5
    G4 P0.3
    G0 Z25
    G0 X12 Y50
    M3
    G4 P0.4

Good::

    Program: bad
    G0 X12 Y50 -> G0 X22 Y50

Do: choose another start for one of the two, or chip the spatter off before it.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.index import Index, point_boxes
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, of_line, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None or len(e.runs) < 2:
        return
    places = e.starts
    apart = 2 * e.process.crater_radius
    later, earlier = Index(point_boxes(places)).pairs(point_boxes(places), apart)
    away = np.hypot(*(places.take(later, axis=0) - places.take(earlier, axis=0)).T)
    near = (earlier < later) & (away < apart - 1e-3) & (e.stock.plate_of[earlier] == e.stock.plate_of[later])
    for number, other in zip(later[near].tolist(), earlier[near].tolist(), strict=True):
        run = e.runs[number]
        gap = float(np.hypot(*(places[number] - places[other])))
        message = say(
            "this pierce lies {gap} from that {of}",
            gap=mm(gap, ".1f"),
            of=of_line(e.runs[other].light_line),
        )
        yield Hit(message, say("keep pierces {apart} apart", apart=mm(apart, ".1f")), run.light_line, run.start)


RULE = Rule("pierces-too-close", Severity.NOTE, _judge)
