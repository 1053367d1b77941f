"""A pierce whose crater reaches a kept edge.

Finds: a pierce in scrap nearer to a drawn edge than the crater radius of the process.

Matters: spatter and blow-back spoil the edge.

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
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.kept is None or e.process is None or not e.runs:
        return
    crater = e.process.crater_radius
    away, _ = nearest(e.starts, e.kept.edges, crater, e.kept.index)
    near = np.flatnonzero(away < crater - 0.01)
    for number in near[~e.kept.holds(e.starts.take(near, axis=0))].tolist():
        run = e.runs[number]
        if not e.on_plate_edge(run.start, e.process.kerf):  # nothing is pierced there
            message = say(
                "the pierce lies {away} from a kept edge, its crater reaches {crater}",
                away=mm(away[number], ".2f"),
                crater=mm(crater, ".2f"),
            )
            yield Hit(message, "a longer lead, or another start point", run.light_line, run.start)


RULE = Rule("pierce-near-kept-edge", Severity.WARNING, _judge, by_drawing=True)
