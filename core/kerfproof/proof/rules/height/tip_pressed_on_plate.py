"""The tip is pressed on the plate by a plain move, and not for a light-up.

Finds: a move with the torch off that ends below the plate's top where nothing was searched since the last travel or
cut, and no light-up follows on the spot.

Matters: the tip lands on a hot kerf, a slug or dross, or goes down into a hole whose slug has dropped, with nothing
that would stop it.

Bad::

    Given: burning
    G1 X30 F2200
    M5
    G4 P0.3
    G1 Z-8 F500
    G0 Z25

Good::

    Program: bad
    G1 Z-8 F500 ->

Do: raise after the cut; go down by a search only.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

PRESSED = 0.2
"""The tip may touch the plate by that much where heights are rounded."""


def _judge(e: Evidence) -> Iterator[Hit]:
    cold = ~e.trace.torch & e.known & np.isin(e.trace.kind, (Step.RAPID, Step.FEED, Step.ARC))
    down = np.flatnonzero(cold & (e.height[:, 1] < np.minimum(e.height[:, 0], 0.0) - PRESSED))
    if not len(down):
        return
    searched = np.searchsorted(e.search_rows, down)
    travels = np.flatnonzero(e.travels)
    before, after = np.searchsorted(travels, down), np.searchsorted(travels, down, side="right")
    # Numbers of the last search and travel before each, and of the next travel and light-up behind it.
    n = len(e.trace)
    last = np.where(before > 0, travels[np.maximum(before - 1, 0)], -1) if len(travels) else np.full(len(down), -1)
    search = np.where(searched > 0, _at(e.search_rows, searched - 1), -2)
    then = np.where(after < len(travels), _at(travels, after), n)
    lights = e.rows(Step.TORCH_ON)
    place = np.searchsorted(lights, down)
    light = np.where(place < len(lights), _at(lights, place), n)
    for row in down[(search < last) & ~(light < then)].tolist():
        message = say(
            "the tip is pressed {height} below the plate's top with the torch off", height=mm(-e.height[row, 1], ".1f")
        )
        yield at_row(e, row, message, "raise it; go down by a search only")


def _at(rows: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Return the rows at places, whatever where there is none."""
    return rows[np.clip(places, 0, len(rows) - 1)] if len(rows) else np.zeros(len(places), dtype=np.int64)


RULE = Rule("tip-pressed-on-plate", Severity.WARNING, _judge)
