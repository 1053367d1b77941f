"""A hole under the smallest of the chart that is cut all the same.

Finds: cuts of drawn holes that are narrower than the smallest hole of the chart row. Of a slot that is at least 2.5
kerfs and the plate's thickness wide it is a note.

Matters: the arc can't follow so tight a curve: the hole comes out tapered and 0.2 to 0.5 mm oversize at the top (common
practice, no source).

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
from kerfproof.geom.inscribed_circle import is_long
from kerfproof.geom.path import Bundle
from kerfproof.geom.region import path_areas
from kerfproof.parts.model.round_hole import hole_widths
from kerfproof.proof.compare.sizes import drawn_as
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, mm_span, say

SLACK = 1e-6
"""A hole this much (mm) under a limit still meets it: drawings are rounded."""
ON = 0.2
"""A torch path this much (mm) beyond half a kerf from a drawn edge is taken to cut it."""


def _judge(e: Evidence) -> Iterator[Hit]:
    kept, swept, process = e.kept, e.swept, e.process
    if kept is None or swept is None or process is None:
        return
    close = swept.distance <= e.path.half_kerf[swept.torch] + ON
    owner = kept.edges.owner[swept.edge[close]]
    cut = np.intersect1d(np.flatnonzero(~kept.is_outline()), owner)
    paths = Bundle.of([kept.contours[k].path for k in cut.tolist()])
    for contour, width, area in zip(
        cut.tolist(), hole_widths(paths, process.min_hole).tolist(), path_areas(paths).tolist(), strict=True
    ):
        if width >= process.min_hole - SLACK:
            continue
        hole, slot = drawn_as(kept, contour), is_long(width, area)
        narrow = "" if hole.circle else say("{width} wide, ", width=mm(width))
        least = say(
            "under {min_hole}, the smallest hole for {thickness} plate",
            min_hole=mm(process.min_hole, "g"),
            thickness=mm(process.thickness, "g"),
        )
        run = e.runs[int(e.path.segments.owner[swept.torch[close][owner == contour]].min())]
        x, y = hole.middle.tolist()
        message = say("the {name} is {narrow}{least}, and is cut", name=hole.name, narrow=narrow, least=least)
        if slot and width >= process.least_width - SLACK:
            yield Hit(message, "expect rough ends", run.light_line, (x, y), Severity.NOTE)
        else:
            top = say("expect it tapered, {top} oversize at the top; drill it where it must fit", top=mm_span(0.2, 0.5))
            yield Hit(message, top, run.light_line, (x, y))


RULE = Rule("hole-is-small", Severity.WARNING, _judge, by_drawing=True)
