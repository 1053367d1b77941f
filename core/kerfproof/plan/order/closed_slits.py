"""Closed slits: what lies in one is cut before it, because it frees what is in it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from kerfproof.geom.path import Bundle
from kerfproof.geom.region import containers
from kerfproof.parts.model.part import Feature, Part


def room(feature: Feature) -> float:
    """Return the area (mm2) in a closed contour, 0 for an open one."""
    return abs(feature.contour.path.area()) if feature.contour.path.closed else 0.0


def within_rings(part: Part) -> Iterable[tuple[int, int]]:
    """Yield the numbers (first, then) of the features in a closed slit, and of that slit."""
    rings = [f for f in part.slits if f.contour.path.closed]
    if not rings:
        return
    inner = (*part.holes, *part.slits)
    starts = np.array([f.contour.path.start for f in inner])
    paths = Bundle.of([f.contour.path for f in rings])
    for i, k in zip(*(a.tolist() for a in containers(paths, starts)), strict=True):
        # Where two cross, neither lies in the other; the areas keep the pairs from going round in a circle.
        if room(inner[i]) < room(rings[k]) * (1 - 1e-9):
            yield inner[i].number, rings[k].number
