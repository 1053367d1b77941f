"""Digits that one arc can cut: a single stroke that never crosses or touches itself."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Floats, Path

# Points in a box 0.7 wide and 1 high. Where a pen would close a loop the stroke stops short: a kerf is wide.
_STROKES: dict[str, tuple[tuple[float, float], ...]] = {
    "0": ((0.1, 0.85), (0.0, 0.7), (0.0, 0.15), (0.15, 0.0), (0.55, 0.0), (0.7, 0.15), (0.7, 0.85), (0.55, 1.0),
          (0.3, 1.0)),
    "1": ((0.15, 0.8), (0.35, 1.0), (0.35, 0.0)),
    "2": ((0.0, 0.8), (0.15, 1.0), (0.55, 1.0), (0.7, 0.85), (0.7, 0.65), (0.0, 0.0), (0.7, 0.0)),
    "3": ((0.0, 1.0), (0.7, 1.0), (0.3, 0.6), (0.6, 0.5), (0.7, 0.35), (0.7, 0.15), (0.55, 0.0), (0.0, 0.0)),
    "4": ((0.6, 0.0), (0.6, 1.0), (0.0, 0.3), (0.3, 0.3)),
    "5": ((0.7, 1.0), (0.05, 1.0), (0.0, 0.55), (0.5, 0.6), (0.7, 0.4), (0.7, 0.15), (0.5, 0.0), (0.0, 0.0)),
    "6": ((0.6, 1.0), (0.2, 0.85), (0.0, 0.5), (0.0, 0.15), (0.15, 0.0), (0.55, 0.0), (0.7, 0.15), (0.7, 0.45),
          (0.35, 0.5)),
    "7": ((0.0, 1.0), (0.7, 1.0), (0.25, 0.0)),
    "8": ((0.0, 0.7), (0.0, 0.9), (0.15, 1.0), (0.55, 1.0), (0.7, 0.9), (0.7, 0.7), (0.0, 0.3), (0.0, 0.1),
          (0.15, 0.0), (0.55, 0.0), (0.7, 0.1), (0.7, 0.35)),
    "9": ((0.1, 0.0), (0.5, 0.15), (0.7, 0.5), (0.7, 0.85), (0.55, 1.0), (0.15, 1.0), (0.0, 0.85), (0.0, 0.55),
          (0.35, 0.5)),
}  # fmt: skip
WIDTH = 0.7
"""Width of a digit as a share of its height."""


def digit(char: str, x: float, y: float, height: float) -> Path:
    """Return the stroke of one digit, its lower left corner at x, y.

    Raises
    ------
    ValueError
        If `char` is no digit.
    """
    if char not in _STROKES:
        raise ValueError(f"one of 0 to 9, not {char!r}")
    points: Floats = np.array(_STROKES[char]) * height + np.array([x, y])
    return Path.polyline(points)


def least_height(kerf: float) -> float:
    """Return the height from which a digit stays legible at this kerf: the gaps are 0.2 of it."""
    return float(np.ceil(max(14.0, 8.5 * kerf)))
