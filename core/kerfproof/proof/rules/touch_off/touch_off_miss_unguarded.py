"""A missed touch-off lights the torch all the same.

Finds: on a control that goes on after a search that found nothing, and can't compare: a light-up with no stop
between its search and the on word. One finding for the whole program. On all controls: no stop before the first
light-up (warning), because there nothing tells a slat from the plate but a look. On tables with a fault: a torch
that lights after a missing plate that the control could notice, or after a fault that the program notices at other
starts; a program that notices a stuck switch, a slat or a false trip nowhere is told once (warning).

Matters: the arc is then lit between the slats, and the lead rams the kerf wall.

Bad::

    Program: good
    M1 ->

Good::

    Control: skip
    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G31 Z-84 F150
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M1
    M3
    G4 P0.4

Do: an optional stop before every light-up, and eyes on the tip.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.dialect import Guard, ProbeMiss
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or not len(e.lights):
        return
    silent = e.control.probe_miss is ProbeMiss.SILENT and e.control.guard is Guard.NONE
    bare = _unseen(e, e.lights if silent else e.lights[:1])
    if bare and silent:
        message = f"{len(bare)} light-ups follow a search that may have found nothing, with no stop between"
        yield at_row(e, bare[0], message, "an optional stop before every light-up")
    elif bare:
        message = "the torch lights for the first time with no stop to look: the search may have found a slat"
        yield at_row(e, bare[0], message, "a stop between the first touch-off and its on word", Severity.WARNING)


def _unseen(e: Evidence, lights: Ints) -> list[int]:
    """Return the light-ups with no stop since their search."""
    stops = e.rows(Step.STOP, Step.OPTIONAL_STOP)
    bare = []
    for row in lights.tolist():
        last = e.last_search(row)
        after = int(e.search_rows[last]) if last is not None else -1
        if last is not None and np.searchsorted(stops, after) == np.searchsorted(stops, row):
            bare.append(row)
    return bare


RULE = Rule("touch-off-miss-unguarded", Severity.ERROR, _judge)
