"""Whole drawings side by side in rows, in the order given."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Floats


def place_in_rows(boxes: Floats, gap: float, width: float) -> Floats:
    """Return shifts (n, 2) that set `boxes` (n, 4) side by side from (0, 0), a new row where `width` is full.

    Boxes keep their order and lie `gap` apart; one wider than `width` gets a row of its own.
    """
    shifts = np.zeros((len(boxes), 2))
    x = y = height = 0.0
    for k, (x0, y0, x1, y1) in enumerate(boxes):
        if x > 0 and x + (x1 - x0) > width:
            x, y, height = 0.0, y + height + gap, 0.0
        shifts[k] = (x - x0, y - y0)
        x += x1 - x0 + gap
        height = max(height, y1 - y0)
    return shifts
