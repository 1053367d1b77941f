"""Clipped block references: what shows of an entity inside the clipping boundary."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.drawing.dxf.entity import DrawnShape, NotCut
from kerfproof.geom.crossing import crossings
from kerfproof.geom.path import Bundle, Floats, Path
from kerfproof.geom.region import inside

CLIPPED = "the clipping boundary of its block hides it"
CUT_OFF = "the clipping boundary of its block runs through it"


def check_clips(drawn: DrawnShape, clips: Sequence[Floats]) -> None:
    """Check that what was drawn shows wholly inside all boundaries (n, 2), mm.

    Raises
    ------
    NotCut
        If a boundary hides it.
    ValueError
        If a boundary runs through it, so that only a share of it shows.
    """
    for corners in clips:
        boundary = Path.polyline(corners, closed=True)
        if drawn.path is None:
            if drawn.point is not None and not inside(Bundle.of([boundary]), np.array([drawn.point]))[0]:
                raise NotCut(CLIPPED)
            continue
        segments = Bundle.of([drawn.path, boundary]).segments()
        mine = np.flatnonzero(segments.owner == 0)
        shown = inside(Bundle.of([boundary]), segments.points(mine, np.full(len(mine), 0.5)))
        met = crossings(segments, owner_pairs="other")
        if (met.kind == "cross").any() or (shown.any() and not shown.all()):
            raise ValueError(CUT_OFF)
        if not shown.any():
            raise NotCut(CLIPPED)
