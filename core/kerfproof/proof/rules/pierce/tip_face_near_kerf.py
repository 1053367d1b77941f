"""A touch-off whose tip face rests partly on an open kerf.

Finds: searches with an open kerf under the rim of the tip's face, but under less than half of it. Where more of the
face hangs over a kerf, `touch-off-near-void` tells it. Beside a cut that stopped and that goes on from there this is
a note: no other place would do.

Matters: dross stands on the edges of a kerf. The tip that rests on it finds the plate too high, and lights tilted.

Bad::

    Given: burning at 10 50
    G1 X60 F2200
    Then: touched at 65 50
    M3
    G4 P0.4
    G1 Z3 F900

Good::

    Program: bad
    G0 X65 Y50 -> G0 X70 Y50

Do: brush the dross off between starts, or space the cuts wider.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import point_distances
from kerfproof.geom.index import point_boxes
from kerfproof.geom.path import Floats
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.touch_off.touch_off_near_void import SLACK, freed, over_kerf, searched
from kerfproof.sentence import counted, mm, say

SAME = 0.05
"""Paths nearer than this are the same."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or not len(e.path.segments):
        return
    rows, places, runs = searched(e)
    face = e.machine.tip_face_radius
    over = over_kerf(e, places, runs, face)
    told = (over >= face / 2 - SLACK) & (over < face - SLACK) & (freed(e, places, runs) < 0)
    found = [k for k in np.flatnonzero(told).tolist() if not e.on_plate_edge(tuple(places[k].tolist()), e.half_kerf)]
    taken_up = _taken_up(e)
    joins = [k for k in found if _kerfs_under(e, places[k], int(runs[k]), face) <= taken_up.get(int(runs[k]), set())]
    # One finding for all: where cuts lie close, every second start is of them.
    for some, severity in (([k for k in found if k not in joins], None), (joins, Severity.NOTE)):
        for k in some[:1]:
            more = len(some) - 1
            others = f", and {counted(more, 'more touch-off')}" if more else ""
            gap = say("{over} beside an open kerf", over=mm(over[k], ".1f"))
            what = say(
                "the tip face rests partly on a kerf: the plate is found {gap}, the face reaches {face}",
                gap=gap,
                face=mm(face, ".1f"),
            )
            advice = "brush the dross off between starts, or space the cuts wider"
            yield at_row(e, int(rows[k]), what + others, advice, severity)


def _taken_up(e: Evidence) -> dict[int, set[int]]:
    """Return of each run the earlier ones that close nowhere and on whose path it goes on."""
    s, stock = e.path.segments, e.stock
    near = (stock.gap <= SAME) & ~np.isin(s.owner[stock.earlier], e.path.ring_run)
    out: dict[int, set[int]] = {}
    for run, before in zip(s.owner[stock.later[near]].tolist(), s.owner[stock.earlier[near]].tolist(), strict=True):
        out.setdefault(run, set()).add(before)
    return out


def _kerfs_under(e: Evidence, place: Floats, run: int, face: float) -> set[int]:
    """Return the runs before `run` whose kerfs lie under the tip's face at a place."""
    half = e.path.half_kerf
    _, segment = e.path.index.pairs(point_boxes(place[None, :]), face + float(half.max()))
    away = point_distances(np.repeat(place[None, :], len(segment), axis=0), e.path.segments, segment)
    near = segment[away - half[segment] < face]
    return {owner for owner in e.path.segments.owner[near].tolist() if owner < run}


RULE = Rule("tip-face-near-kerf", Severity.WARNING, _judge)
