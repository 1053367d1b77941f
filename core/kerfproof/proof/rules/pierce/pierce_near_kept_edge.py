"""A pierce whose crater reaches a kept edge.

Finds: a pierce in scrap nearer to a drawn edge than the crater radius of the process. It is a note where the pierce
stands on the center line of a hole that allows no more, and farther away than the plate melts.

Matters: within the melted radius (1.25 kerfs) the edge is spoiled; farther away there is only spatter on it.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 18.5 50
    G1 X19.25 F2200
    M5

Good::

    Program: bad
    Given: burning at 10 50

Do: a longer lead, or another start point.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bundle
from kerfproof.parts.model.round_hole import hole_widths
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say

NEAR_CENTER = 0.95
"""A pierce at this share of a hole's half width from its edge stands on the center line."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.kept is None or e.process is None or not e.runs:
        return
    crater = e.process.crater_radius
    away, edge = nearest(e.starts, e.kept.edges, crater, e.kept.index)
    near = np.flatnonzero(away < crater - 0.01)
    for number in near[~e.kept.holds(e.starts.take(near, axis=0))].tolist():
        run = e.runs[number]
        if e.on_plate_edge(run.start, e.process.kerf):  # nothing is pierced there
            continue
        message = say(
            "the pierce lies {away} from a kept edge, its crater reaches {crater}",
            away=mm(away[number], ".2f"),
            crater=mm(crater, ".2f"),
        )
        severity = None
        contour = int(e.kept.edges.owner[edge[number]])
        if not e.kept.is_outline()[contour] and away[number] >= e.process.melt_radius:
            half = float(hole_widths(Bundle.of([e.kept.contours[contour].path]))[0]) / 2
            severity = Severity.NOTE if away[number] >= NEAR_CENTER * half - 0.01 else None
        yield Hit(message, "a longer lead, or another start point", run.light_line, run.start, severity)


RULE = Rule("pierce-near-kept-edge", Severity.WARNING, _judge, by_drawing=True)
