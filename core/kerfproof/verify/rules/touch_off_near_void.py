"""A touch-off whose tip face does not lie on sound plate.

Finds: a touch-off, or a light-up in contact, with an open kerf or the edge of the plate under more than half of the
tip's face (a warning; an error over the kerf itself). The place of a declared edge start is left out.

Matters: on a kerf's edge the tip lands on dross or tilts, finds the plate at a wrong height, and lights badly.

Bad::

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X62 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z3 F900

Good::

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X70 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z3 F900

Do: touch off on sound plate beside the spot and step over, or choose another start.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import point_distances
from kerfproof.geom.index import point_boxes
from kerfproof.geom.path import Floats, Ints
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule

SLACK = 1e-3


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or not len(e.path.segments):
        return
    runs, places = _touches(e)
    if not len(runs):
        return
    half, face = e.path.half_kerf, e.machine.tip_face_radius / 2
    k, segment = e.path.index.pairs(point_boxes(places), face + float(half.max()))
    owner = e.path.segments.owner[segment]
    before = (owner < runs[k]) & (e.stock.plate_of[owner] == e.stock.plate_of[runs[k]])
    k, segment = k[before], segment[before]
    gap = point_distances(places.take(k, axis=0), e.path.segments, segment) - half[segment]
    nearest = np.full(len(runs), np.inf)
    np.minimum.at(nearest, k, gap)
    for number in np.flatnonzero(nearest < face - SLACK).tolist():
        run = e.runs[int(runs[number])]
        x, y = places[number].tolist()
        over = bool(nearest[number] <= -SLACK)
        if over and max(abs(x - run.start[0]), abs(y - run.start[1])) <= SLACK:
            continue  # the pierce itself lies over the kerf, which is told as that
        if over:
            message = "the plate is searched over an open kerf"
            yield Hit(message, "touch off on sound plate", run.light_line, (x, y), Severity.ERROR)
        elif not e.on_plate_edge(run.start, e.half_kerf):
            gap = f"{nearest[number]:.1f} mm beside an open kerf"
            message = f"the plate is found {gap}, the tip's face reaches {2 * face:.1f} mm"
            yield Hit(message, "touch off on sound plate", run.light_line, (float(x), float(y)))


def _touches(e: Evidence) -> tuple[Ints, Floats]:
    """Return the runs that have a touch-off of their own and where (k, 2) it was made."""
    origin = np.array(e.trace.xy_origin)
    searches, first = np.unique(e.searches_before(e.first_rows), return_index=True)
    first, rows = first[searches >= 0], e.search_rows[searches[searches >= 0]]
    return first, e.trace.end.take(rows, axis=0)[:, :2] - origin


RULE = Rule("touch-off-near-void", Severity.WARNING, _judge)
