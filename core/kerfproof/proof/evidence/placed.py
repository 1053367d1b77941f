"""Where the drawing lies in a program, as a value."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kerfproof.geom.path import Floats
from kerfproof.parts.model.contour import Contour
from kerfproof.sentence import Phrase, Sentence, say

ROUNDED = 0.01
"""Places this near are one, mm: programs round."""


@dataclass(frozen=True, slots=True, eq=False)
class Placing:
    """One place of the drawing in the program: its points go to ``points @ matrix.T + shift``.

    `rule` and `how` name how it lies against the drawing's own place; `rule` is empty where it lies as drawn.
    """

    rule: str
    how: Phrase
    matrix: Floats
    shift: Floats

    @property
    def message(self) -> Sentence:
        """What is wrong with a whole cut that lies so."""
        return say("the whole cut is {how}", how=self.how)

    def same(self, other: Placing) -> bool:
        """Return whether two places are one within rounding."""
        turned = float(np.abs(self.matrix - other.matrix).max())
        return max(turned, float(np.abs(self.shift - other.shift).max())) <= ROUNDED

    def moved(self, contours: tuple[Contour, ...]) -> tuple[Contour, ...]:
        """Return contours as they lie in the program."""
        return tuple(
            replace(
                c,
                path=c.path.transformed(self.matrix, self.shift),
                samples=None if c.samples is None else c.samples @ self.matrix.T + self.shift,
            )
            for c in contours
        )
