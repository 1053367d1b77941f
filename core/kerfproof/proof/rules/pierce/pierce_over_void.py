"""A pierce over a kerf that is already open.

Finds: a light-up whose place an earlier cut has opened, unless the run begins on the plate's edge.

Matters: there is nothing to touch and nothing to pierce; a contact torch finds a slat instead of the plate.

Bad::

    Program: long line
    G0 X40 Y50.2
    M3
    G1 Y80 F2200

Good::

    Program: bad
    G0 X40 Y50.2 -> G0 X40 Y60

Do: pierce in sound plate, two crater radii from earlier cuts.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import point_distances
from kerfproof.geom.index import point_boxes
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.runs or not len(e.path.segments):
        return
    half = e.path.half_kerf
    k, segment = e.path.index.pairs(point_boxes(e.starts), float(half.max()))
    owner = e.path.segments.owner[segment]
    before = (owner < k) & (e.stock.plate_of[owner] == e.stock.plate_of[k])
    k, segment = k[before], segment[before]
    void = point_distances(e.starts.take(k, axis=0), e.path.segments, segment) < half[segment] - 1e-6
    for number in np.unique(k[void]).tolist():
        run = e.runs[number]
        if not e.on_plate_edge(run.start, e.half_kerf):
            yield Hit("the torch pierces over an open kerf", "pierce in sound plate", run.light_line, run.start)


RULE = Rule("pierce-over-void", Severity.ERROR, _judge)
