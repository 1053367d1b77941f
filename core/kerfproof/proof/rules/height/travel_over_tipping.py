"""Travel over a loose piece that may stand up.

Finds: travel with the torch off across a loose piece whose longest chord, tilted by 45 degrees, stands higher than
the tip. Pieces whose centre of gravity lies over the slats rest (with slats in the machine file), and a stop for a
look just before the travel is enough.

Matters: a long piece that tips between the slats stands in the way of the head, however well it was raised.

Bad::

    Program: loose outline
    G0 X140 Y60

Good::

    Program: bad
    G0 X140 Y60 -> G0 X10 Y90
    G0 X140

Do: go around it, raise fully, or stop and look first.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.counted import counted
from kerfproof.geom.distance import nearest
from kerfproof.geom.index import box_pairs
from kerfproof.geom.path import Bundle, Floats, Ints, Segments
from kerfproof.geom.region import containers
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.pieces import most_rise, most_rise_of, rise_of
from kerfproof.proof.evidence.runs import segments_of
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

SPACING = 2.0
MOST_SAMPLES = 400
EDGE = 0.5
"""The edge of a piece may be grazed, mm."""


def _judge(e: Evidence) -> Iterator[Hit]:
    rows = np.flatnonzero(e.travels & ~e.trace.torch & e.moves & e.known)
    frame = e.control.machine_frame_word or "no such word"
    rows = rows[[not e.trace.text[row].startswith(frame) for row in rows.tolist()]]  # raised as far as the machine goes
    if not len(rows) or not len(e.stock.loose):
        return
    height, rise = np.minimum(e.height[rows, 0], e.height[rows, 1]), np.zeros(len(rows))
    travel, piece = _crossing(e, rows, height)
    for k, high in zip(travel.tolist(), _rises(e, piece).tolist(), strict=True):
        if high > height[k]:
            rise[k] = max(rise[k], high)
    for k in np.flatnonzero(rise).tolist():
        if not _looked(e, int(rows[k])):
            standing = say("a loose piece that may stand up by {rise}", rise=mm(rise[k], ".1f"))
            message = say(
                "travel {height} over the plate, across {standing}", height=mm(height[k], ".1f"), standing=standing
            )
            yield at_row(e, int(rows[k]), message, "go around it, or stop and look first")


def _rises(e: Evidence, pieces: Ints) -> Floats:
    """Return how high loose pieces may stand."""
    asked, back = np.unique(pieces, return_inverse=True)
    return np.array([rise_of(e.machine, e.stock.loose.path(k)) for k in asked.tolist()])[back]


def _ways(e: Evidence, rows: Ints) -> Segments:
    """Return the travels as segments owned by their place among `rows`, program coordinates; arcs as arcs."""
    place = np.zeros(len(e.trace), dtype=np.int64)
    place[rows] = np.arange(len(rows))
    return segments_of(e.trace, rows, place)


def _crossing(e: Evidence, rows: Ints, height: Floats) -> tuple[Ints, Ints]:
    """Return which travels pass over which pieces that are loose by then and large enough to stand in the way.

    Most travels pass over no loose piece, so only the boxes of pieces are looked at before.
    """
    s, run = _ways(e, rows), e.stock.loose_run
    height, done = height[s.owner], np.searchsorted(e.last_rows, rows)[s.owner]  # runs finished before each travel
    before = np.minimum(done, len(e.runs) - 1)
    plate, boxes = e.stock.plate_of, e.stock.region.boxes
    rise = most_rise(boxes)
    large = np.flatnonzero(rise > height.min())
    k, piece = box_pairs(s.boxes(), boxes[large])
    piece = large[piece]
    near = (plate[run[piece]] == plate[before[k]]) & (run[piece] < done[k]) & (rise[piece] > height[k])
    met = np.unique(piece[near])
    if len(met):  # boxes tell too much of round pieces
        rise[met] = np.minimum(rise[met], most_rise_of(Bundle.of(map(e.stock.loose.path, met.tolist()))))
        near &= rise[piece] > height[k]
    asked, met = np.unique(k[near]), np.unique(piece[near])
    if not len(asked):
        return s.owner[asked], met
    paths = Bundle.of(map(e.stock.loose.path, met.tolist()))
    counts = np.clip(s.lengths()[asked] / SPACING, 16, MOST_SAMPLES).astype(np.int64)
    row, number = counted(counts)
    owner = asked[row]
    points = s.points(owner, (number + 0.5) / counts[row])
    at, held = containers(paths, points)
    travel, piece = owner[at], met[held]
    over = (run[piece] < done[travel]) & (rise[piece] > height[travel])
    over &= plate[run[piece]] == plate[before[travel]]
    at, travel, piece = at[over], travel[over], piece[over]
    inner = np.isinf(nearest(points.take(at, axis=0), paths.segments(), e.half_kerf + EDGE)[0])
    return s.owner[travel[inner]], piece[inner]


def _looked(e: Evidence, row: int) -> bool:
    """Return whether the operator was stopped since the torch went out."""
    before = np.flatnonzero(e.trace.torch[:row])
    first = int(before[-1]) if len(before) else 0
    return bool((e.trace.kind[first:row] == Step.STOP).any())


RULE = Rule("travel-over-tipping", Severity.WARNING, _judge)
