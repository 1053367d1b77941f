"""A hole under the smallest of the chart that is cut all the same.

Finds: cuts of drawn holes that are narrower than the smallest hole of the chart row.

Matters: the arc can't follow so tight a curve: the hole comes out rough, tapered and out of round. This is a note.

Bad::

    Drawing: rect 20 20 120 80; hole 70 50 5
    Given: burning at 70 50
    G1 X71.75 F800
    G3 X68.25 Y50 I-1.75 J0
    G3 X71.75 Y50 I1.75 J0
    M5

Good::

    Drawing: rect 20 20 120 80; hole 70 50 12
    Given: burning at 70 50
    G1 X75.25 F1320
    G3 X64.75 Y50 I-5.25 J0
    G3 X75.25 Y50 I5.25 J0
    M5

Do: expect a rough hole; drill it where it must fit.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.region import path_areas
from kerfproof.proof.compare.sizes import drawn_as
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say

SLACK = 1e-6
"""A hole this much (mm) under a limit still meets it: drawings are rounded."""
ON = 0.2
"""A torch path this much (mm) beyond half a kerf from a drawn edge is taken to cut it."""


def _judge(e: Evidence) -> Iterator[Hit]:
    kept, swept, process = e.kept, e.swept, e.process
    if kept is None or swept is None or process is None:
        return
    # Four times area over length: a circle's diameter, a square's side, at most twice a slot's width.
    width = 4 * np.abs(path_areas(kept.bundle)) / np.maximum(kept.perimeter, 1e-9)
    close = swept.distance <= e.path.half_kerf[swept.torch] + ON
    owner = kept.edges.owner[swept.edge[close]]
    small = ~kept.is_outline() & (width < process.min_hole - SLACK) & np.isin(np.arange(len(width)), owner)
    for contour in np.flatnonzero(small).tolist():
        hole = drawn_as(kept, contour)
        narrow = "" if hole.circle else say("{width} wide, ", width=mm(float(width[contour])))
        least = say(
            "under {min_hole}, the smallest hole for {thickness} plate",
            min_hole=mm(process.min_hole, "g"),
            thickness=mm(process.thickness, "g"),
        )
        run = e.runs[int(e.path.segments.owner[swept.torch[close][owner == contour]].min())]
        x, y = hole.middle.tolist()
        message = say(
            "the {name} is {narrow}{least}, and is cut all the same", name=hole.name, narrow=narrow, least=least
        )
        yield Hit(message, "expect a rough hole", run.light_line, (x, y))


RULE = Rule("hole-is-small", Severity.NOTE, _judge, by_drawing=True)
