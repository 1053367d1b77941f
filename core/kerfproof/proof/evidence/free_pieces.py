"""What comes free, as values: pieces and the holes in them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PieceOpening:
    """A hole in a piece: width and height (mm), where its middle lies, its diameter if it is round."""

    width: float
    height: float
    at: tuple[float, float]
    diameter: float | None


@dataclass(frozen=True, slots=True)
class FreePiece:
    """A piece of metal that the program cuts free.

    `line` is the program line of the light-up after whose cut it is loose. `rests` tells whether its centre of
    gravity lies over the slats that carry it; None where the slats are not known.
    """

    number: int
    line: int
    width: float
    height: float
    at: tuple[float, float]
    area: float
    openings: tuple[PieceOpening, ...]
    rests: bool | None
