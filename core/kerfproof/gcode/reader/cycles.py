"""Canned cycles in any plane (NISTIR 6556, 3.5.16): drilling, dwelling, pecking, boring with feed out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kerfproof.gcode.reader.arcs import PLANE_AXES
from kerfproof.gcode.reader.expression import Misread

Place = tuple[float, float, float]
Move = tuple[bool, Place]
"""Whether at feed, and where to, in program coordinates, mm."""

WITH_DWELL, FEED_OUT, PECK = (820, 860, 880, 890), (840, 850, 890), 830
BACK_BORE, BY_HAND = 870, 880
STOPS_SPINDLE = frozenset({840, 860, 870, 880})
"""Cycles that stop, turn round or start the spindle in between. Their motion is followed, the spindle is not."""
MANUAL = "the operator raises by hand"
MOST_STEPS = 10_000
PECK_CLEARANCE = 0.254
"""How far above the bottom a pecking cycle stops its way back down (0.01 in), mm."""


@dataclass(frozen=True, slots=True)
class Cycle:
    """One canned-cycle line. `kept` are the depth, R, P and Q in force, `return_to_level` says whether G99 holds.

    Inside, x and y are the axes of the plane and z is the one across it, in which the cycle drills.
    """

    code: int
    words: dict[str, float]
    kept: dict[str, float]
    unit: float
    incremental: bool
    return_to_level: bool
    plane: int = 17

    @property
    def depth_letter(self) -> str:
        """The axis along which the cycle drills."""
        return "XYZ"[PLANE_AXES[self.plane][2]]

    def steps(self, here: Place) -> Iterator[Move | float | str]:
        """Return the moves, the dwells (P as written) and the stops (a text), from a place in program coordinates.

        Raises
        ------
        Misread
            If a word is missing, the heights contradict each other, or there are too many steps to follow.
        """
        a, b, c = PLANE_AXES[self.plane]
        repeats = round(self.words.get("L", 1.0))
        level, bottom = self._heights(here[c])
        peck = self.kept.get("Q", 0.0) * self.unit
        if repeats < 1:
            raise Misread("L must be at least 1 in a canned cycle", "L")
        if self.code in WITH_DWELL and self.kept.get("P", -1.0) < 0:
            raise Misread("this cycle needs P, 0 or more", "G")
        if self.code == PECK and peck <= 0:
            raise Misread("this cycle needs Q above 0", "G")
        if self.code == BACK_BORE and not {"I", "J", "K"} <= self.kept.keys():
            raise Misread("this cycle needs I, J and K", "G")
        pecks = (level - bottom) / peck + 1 if self.code == PECK else 1.0
        if repeats * (4 + 3 * pecks) > MOST_STEPS:
            raise Misread("the cycle has too many steps to follow", "G")
        return self._turned(self._rounds((here[a], here[b], here[c]), repeats, level, bottom))

    def _turned(self, steps: Iterator[Move | float | str]) -> Iterator[Move | float | str]:
        """Yield steps with the places that they have in X, Y and Z."""
        a, b, c = PLANE_AXES[self.plane]
        for step in steps:
            if isinstance(step, tuple):
                place = [0.0, 0.0, 0.0]
                place[a], place[b], place[c] = step[1]
                yield step[0], (place[0], place[1], place[2])
            else:
                yield step

    def _heights(self, z: float) -> tuple[float, float]:
        """Return the level R and the bottom."""
        deep = self.depth_letter
        for letter in "R" + deep:
            if letter not in self.kept:
                raise Misread(f"this cycle needs {letter}", "G")
            if not math.isfinite(self.kept[letter] * self.unit) or abs(self.kept[letter]) > 1e9:
                raise Misread("the number is larger than any machine", letter)
        level, bottom = self.kept["R"] * self.unit, self.kept[deep] * self.unit
        if self.incremental:
            level += z
            bottom += level
        if level < bottom:
            raise Misread(f"R lies below {deep}", "R")
        return level, bottom

    def _rounds(self, here: Place, repeats: int, level: float, bottom: float) -> Iterator[Move | float | str]:
        x, y, z = here
        clear = level if self.return_to_level else max(z, level)
        if z < level:
            z = level
            yield False, (x, y, z)
        for _ in range(repeats):
            a, b, _ = PLANE_AXES[self.plane]
            x, y = self._axis("XYZ"[a], x), self._axis("XYZ"[b], y)
            if self.code == BACK_BORE:
                yield from self._back_bore(x, y, z, bottom, clear)
                z = clear
                continue
            yield False, (x, y, z)
            if z != level:
                yield False, (x, y, level)
            yield from self._hole(x, y, level, bottom)
            if clear != level or self.code not in FEED_OUT:
                yield False, (x, y, clear)
            z = clear

    def _back_bore(self, x: float, y: float, z: float, bottom: float, clear: float) -> Iterator[Move]:
        """Return the moves of one back bore: aside and down, in, up to K and back at feed, aside and up, in."""
        first, second, across = ("IJK"[k] for k in PLANE_AXES[self.plane])
        u, v = x + self.kept[first] * self.unit, y + self.kept[second] * self.unit
        top = self.kept[across] * self.unit + (bottom if self.incremental else 0.0)
        if top < bottom:
            raise Misread(f"{across} lies below {self.depth_letter}", across)
        yield False, (u, v, z)
        yield False, (u, v, bottom)
        yield False, (x, y, bottom)
        yield True, (x, y, top)
        yield True, (x, y, bottom)
        yield False, (u, v, bottom)
        yield False, (u, v, clear)
        yield False, (x, y, clear)

    def _hole(self, x: float, y: float, level: float, bottom: float) -> Iterator[Move | float | str]:
        if self.code == PECK:
            yield from self._pecks(x, y, level, bottom)
        else:
            yield True, (x, y, bottom)
        if self.code in WITH_DWELL:
            yield self.kept["P"]
        if self.code == BY_HAND:
            yield MANUAL
        if self.code in FEED_OUT:
            yield True, (x, y, level)

    def _pecks(self, x: float, y: float, level: float, bottom: float) -> Iterator[Move]:
        depth, peck = level, self.kept["Q"] * self.unit
        while depth > bottom:
            if depth < level:
                yield False, (x, y, level)
                yield False, (x, y, min(depth + PECK_CLEARANCE, level))
            depth = max(depth - peck, bottom)
            yield True, (x, y, depth)

    def _axis(self, letter: str, here: float) -> float:
        value = self.words.get(letter)
        if value is None:
            return here
        return here + value * self.unit if self.incremental else value * self.unit
