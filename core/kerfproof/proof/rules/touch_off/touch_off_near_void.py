"""A touch-off whose tip face does not lie on sound plate.

Finds: a search over a slug or a part that an earlier cut has freed, over an open kerf, or off the plate (an error); and
one with an open kerf or the plate's edge under more than half of the tip's face (a warning). Where the plate is too
thick to be pierced an edge start on its edge is left out.

Matters: slugs drop, and then the search finds a slat or nothing. On a kerf's edge the tip lands on dross or tilts,
finds the plate at a wrong height, and lights badly.

Bad::

    Given: burning at 10 50
    G1 X60 F2200
    Then: touched at 62 50
    M3
    G4 P0.4
    G1 Z3 F900

Good::

    Program: bad
    G0 X62 Y50 -> G0 X70 Y50

Do: touch off on sound plate beside the spot and step over, or choose another start.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import point_distances
from kerfproof.geom.index import point_boxes
from kerfproof.geom.path import Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, of_line, say
from kerfproof.shop.chart import PierceRating

SLACK = 1e-3


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or not len(e.path.segments):
        return
    rows, places, runs = searched(e)
    yield from _beside_plate(e, rows, places)
    face = e.machine.tip_face_radius / 2
    over = over_kerf(e, places, runs, face)
    loose = freed(e, places, runs)
    for k in np.flatnonzero((loose >= 0) | (over < face - SLACK)).tolist():
        x, y = places[k].tolist()
        if e.on_plate_edge((x, y), e.half_kerf):
            continue
        row = int(rows[k])
        if loose[k] >= 0:
            line = e.runs[int(e.stock.loose_run[loose[k]])].light_line
            message = say(
                "the plate is searched on a piece that the cut {of} has freed: it may have dropped", of=of_line(line)
            )
            yield at_row(e, row, message, "touch off on sound plate beside it", Severity.ERROR)
        elif over[k] <= -SLACK:
            yield at_row(e, row, "the plate is searched over an open kerf", "touch off on sound plate", Severity.ERROR)
        else:
            gap = say("{over} beside an open kerf", over=mm(max(over[k], 0.0), ".1f"))
            message = say("the plate is found {gap}, the tip's face reaches {face}", gap=gap, face=mm(2 * face, ".1f"))
            yield at_row(e, row, message, "touch off on sound plate")


def _beside_plate(e: Evidence, rows: Ints, places: Floats) -> Iterator[Hit]:
    """Tell searches off the plate, or on its edge where no edge start is needed."""
    if e.plate is None:
        return
    x0, y0, x1, y1 = e.plate
    inside = np.minimum(places - [x0, y0], [x1, y1] - places).min(axis=1)
    face = e.machine.tip_face_radius / 2
    needed = e.process is not None and e.process.pierce is PierceRating.NO
    for k in np.flatnonzero(inside < (-SLACK if needed else face - SLACK)).tolist():
        row, away = int(rows[k]), float(inside[k])
        if away < -face:
            yield at_row(e, row, "the plate is searched off the plate", "touch off on sound plate", Severity.ERROR)
        else:
            message = say("the plate is found at its edge, the tip's face reaches {face}", face=mm(2 * face, ".1f"))
            yield at_row(e, row, message, "touch off beside the edge, then step over")


def searched(e: Evidence) -> tuple[Ints, Floats, Ints]:
    """Return the first search at each place before each run: its row, its place (k, 2), and the number of that run."""
    runs = np.searchsorted(e.first_rows, e.search_rows)
    pierces = np.array([search.pierce for search in e.searches], dtype=np.int64)
    new = np.ones(len(runs), dtype=np.bool_)
    new[1:] = (np.diff(runs) != 0) | (np.diff(pierces) != 0)
    rows = e.search_rows[new]
    return rows, e.trace.end.take(rows, axis=0)[:, :2] - np.array(e.trace.xy_origin), runs[new].astype(np.int64)


def over_kerf(e: Evidence, places: Floats, runs: Ints, reach: float) -> Floats:
    """Return how far each place lies from the nearest kerf of earlier runs up to `reach`, below 0 inside it."""
    half = e.path.half_kerf
    k, segment = e.path.index.pairs(point_boxes(places), reach + float(half.max()))
    owner, plate = e.path.segments.owner[segment], e.stock.plate_of[np.minimum(runs, len(e.runs) - 1)]
    before = (owner < runs[k]) & (e.stock.plate_of[owner] == plate[k])
    k, segment = k[before], segment[before]
    gap = point_distances(places.take(k, axis=0), e.path.segments, segment) - half[segment]
    nearest = np.full(len(places), np.inf)
    np.minimum.at(nearest, k, gap)
    return nearest


def freed(e: Evidence, places: Floats, runs: Ints) -> Ints:
    """Return which loose piece each place lies on before the next run, -1 for none."""
    last = runs == len(e.runs)  # searched once more when all is cut
    out = e.stock.freed_by(places, np.minimum(runs, len(e.runs) - 1))
    out[last] = e.stock.freed_by(places[last], runs[last] - 1, through=True)
    return out


RULE = Rule("touch-off-near-void", Severity.WARNING, _judge)
