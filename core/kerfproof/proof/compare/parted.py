"""Whether several cuts together part a drawn contour from the plate: by areas, contour by contour."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Bools, Ints
from kerfproof.geom.swept import clings
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.stock import MOST_POLYGONS, Stock

BEYOND = 1.8
"""What hangs on a contour and reaches so many half kerfs away from it holds the piece; what a round kerf leaves in an
inside corner never reaches one."""


def parted(kept: Kept, stock: Stock, asked: Ints) -> Bools:
    """Return which of the contours `asked` (k,) are parted from the plate by all cuts of one plate together."""
    out = np.zeros(len(asked), dtype=np.bool_)
    path = stock.path
    if not len(asked) or not len(path.segments):
        return out
    half = float(path.half_kerf.max())
    _, near = path.index.pairs(kept.region.boxes[asked], 3 * half)
    if len(near) > MOST_POLYGONS:
        return out
    outline = kept.is_outline()
    for k, contour in enumerate(asked.tolist()):
        _, near = path.index.pairs(kept.region.boxes[contour : contour + 1], 3 * half)
        plate = stock.plate_of[path.segments.owner[near]]
        for number in np.unique(plate).tolist():
            which = near[plate == number]
            s, reach = path.segments.take(which), path.half_kerf[which]
            if not clings(kept.bundle.path(contour), bool(outline[contour]), s, reach, BEYOND * half):
                out[k] = True
                break
    return out
