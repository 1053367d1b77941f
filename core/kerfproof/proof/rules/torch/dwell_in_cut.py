"""The torch stands still in the middle of a cut.

Finds: a dwell of 0.1 s and more between the first move of a cut and torch off; an error from 0.5 s on. A height move
counts like a dwell, but for the way down to cut height in the first 6 mm of the lead.

Matters: the arc eats a pit into both edges, and goes out once there is nothing left to burn to.

Bad::

    Given: burning
    G1 X30 F2200
    G4 P1
    G1 X50
    M5

Good::

    Program: bad
    G4 P1 ->

Do: dwell before the first move, while piercing, and nowhere later.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Floats
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

LEAST, LONG = 0.1, 0.5
"""Seconds: a pit that shows in the edge, and one of about the depth of a kerf (common practice, from memory)."""
LOWERED, LEAD = 0.3, 6.0
"""So long (s) a torch may take to come down to cut height within so much (mm) of its pierce, on its lead."""


def _judge(e: Evidence) -> Iterator[Hit]:
    waits = np.where(e.trace.kind == Step.DWELL, e.trace.value, 0.0) * e.trace.torch
    lifts = np.where(e.moves & ~e.travels, np.maximum(e.trace.seconds, 0.0), 0.0) * e.trace.torch
    burns = np.flatnonzero((waits > 0) | (lifts > 0))
    number = np.searchsorted(e.first_rows, burns, side="right") - 1
    moved = np.where(number >= 0, e.first_travels[number] if len(e.runs) else -1, -1)
    burns = burns[(moved >= 0) & (moved < burns)]
    # Between two moves in the plane the arc burns in one place, in however many waits and height moves.
    place = np.cumsum(e.travels & e.trace.torch)[burns]
    way, lead = np.concatenate([[0.0], np.cumsum(e.length * e.trace.torch)]), _leads(e)
    for stand in np.split(burns, np.flatnonzero(np.diff(place)) + 1) if len(burns) else []:
        run = np.searchsorted(e.first_rows, stand[0], side="right") - 1
        spared = LOWERED if way[stand[0]] - way[e.first_rows[run]] < lead[run] else 0.0
        seconds = float(waits[stand].sum() + max(lifts[stand].sum() - spared, 0.0))
        if seconds >= LEAST - 1e-9:
            severity = None if seconds >= LONG else Severity.WARNING
            message = f"the torch burns {seconds:.3g} s in one place in the middle of the cut"
            yield at_row(e, int(stand[0]), message, "take out what it waits for", severity)


def _leads(e: Evidence) -> Floats:
    """Return how far (mm) from its pierce each run is on its lead: up to the contour that it closes."""
    out = np.full(len(e.runs), LEAD)
    np.minimum.at(out, e.path.ring_run, e.path.along[e.path.ring_first])
    return out


RULE = Rule("dwell-in-cut", Severity.ERROR, _judge)
