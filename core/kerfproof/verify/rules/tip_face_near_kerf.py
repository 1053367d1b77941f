"""A touch-off whose tip face rests partly on an open kerf.

Finds: searches with an open kerf under the rim of the tip's face, but under less than half of it. Where more of the
face hangs over a kerf, `touch-off-near-void` tells it.

Matters: dross stands on the edges of a kerf. The tip that rests on it finds the plate too high, and lights tilted.

Bad::

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X65 Y50
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

Do: brush the dross off between starts, or space the cuts wider.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row
from kerfproof.verify.rules.touch_off_near_void import SLACK, freed, over_kerf, searched


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or not len(e.path.segments):
        return
    rows, places, runs = searched(e)
    face = e.machine.tip_face_radius
    over = over_kerf(e, places, runs, face)
    told = (over >= face / 2 - SLACK) & (over < face - SLACK) & (freed(e, places, runs) < 0)
    found = [k for k in np.flatnonzero(told).tolist() if not e.on_plate_edge(tuple(places[k].tolist()), e.half_kerf)]
    # One finding for all: where cuts lie close, every second start is of them.
    for k in found[:1]:
        more = len(found) - 1
        others = f", and {more} more touch-off{'s' if more > 1 else ''}" if more else ""
        gap = f"{over[k]:.1f} mm beside an open kerf"
        message = (
            f"the tip face rests partly on a kerf: the plate is found {gap}, the face reaches {face:.1f} mm{others}"
        )
        yield at_row(e, int(rows[k]), message, "brush the dross off between starts, or space the cuts wider")


RULE = Rule("tip-face-near-kerf", Severity.WARNING, _judge)
