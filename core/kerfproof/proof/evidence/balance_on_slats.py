"""Whether a loose piece stays where it lies: its centre of gravity over the slats that carry it.

Slats run along Y at X = offset + k pitch. A piece rests when its centre of gravity lies inside the convex hull of the
places where slats carry it (statics); otherwise it tips, or falls through when no slat is under it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.geom.path import Floats, Path
from kerfproof.geom.swept import hull, spans_of
from kerfproof.shop.profile import Machine

SURE = 1.0
"""The centre of gravity must lie this far inside what carries the piece, mm: slats are bent and slagged."""


def rests(machine: Machine, outline: Path, holes: Sequence[Path]) -> bool | None:
    """Return whether a piece stays flat on the slats, None where the machine file does not know them."""
    if machine.slat_pitch <= 0:
        return None
    return carried(center_of_gravity(outline, holes), support(outline, machine.slat_pitch, machine.slat_offset))


def center_of_gravity(outline: Path, holes: Sequence[Path] = ()) -> Floats:
    """Return the centroid (2,) of a piece: that of its outline less its holes."""
    parts = [_moment(outline), *(-_moment(hole) for hole in holes)]
    total = np.sum(parts, axis=0)
    return np.asarray(total[1:] / total[0])


def _moment(path: Path) -> Floats:
    """Return area and first moments of a closed path (3,), arcs as chords within 1 um."""
    p = path.flattened(0.001)
    q = np.roll(p, -1, axis=0)
    cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    moment = np.array([cross.sum() / 2, *((p + q) * cross[:, None]).sum(axis=0) / 6])
    return moment if moment[0] >= 0 else -moment


def support(outline: Path, pitch: float, offset: float) -> Floats:
    """Return the ends (k, 2) of the stretches of slats under a piece."""
    x0, _, x1, _ = outline.bounds()
    first, last = int(np.ceil((x0 - offset) / pitch)), int(np.floor((x1 - offset) / pitch))
    places = [
        (x, y)
        for x in (offset + k * pitch for k in range(first, last + 1))
        for y in spans_of(outline, x).ravel().tolist()
    ]
    return np.array(places, dtype=np.float64).reshape(-1, 2)


def carried(center: Floats, places: Floats) -> bool:
    """Return whether a centre of gravity lies safely inside the convex hull of the places that carry the piece."""
    if len(places) < 3:
        return False
    corners = hull(places)
    if len(corners) < 3:
        return False
    step = np.roll(corners, -1, axis=0) - corners
    away = center - corners
    inward = (step[:, 0] * away[:, 1] - step[:, 1] * away[:, 0]) / np.hypot(step[:, 0], step[:, 1])
    return bool((inward >= SURE).all())
