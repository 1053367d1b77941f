"""The same closed path begun elsewhere, and whether two paths are drawn alike."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Path


def same_shape(a: Path, b: Path, tolerance: float = 1e-9) -> bool:
    """Return whether two paths have the same vertices and bulges, in order, within `tolerance`."""
    if a.closed != b.closed or a.vertices.shape != b.vertices.shape:
        return False
    return bool(np.allclose(a.vertices, b.vertices, rtol=0.0, atol=tolerance))


def started_at(path: Path, segment: int, share: float) -> Path:
    """Return a closed path rotated to begin at `share` (0 to 1) of its segment `segment`.

    The segment is split there unless the place is one of its ends.
    """
    if not path.closed:
        raise ValueError("only a closed path can begin elsewhere")
    n = len(path.vertices)
    s = path.segments()
    if share * s.lengths()[segment] <= 1e-6:
        return Path(np.roll(path.vertices, -segment, axis=0), True)
    if (1 - share) * s.lengths()[segment] <= 1e-6:
        return Path(np.roll(path.vertices, -((segment + 1) % n), axis=0), True)
    point = s.points(np.array([segment]), np.array([share]))[0]
    head, tail = np.tan(s.sweep[segment] * np.array([share, 1 - share]) / 4)
    rolled = np.roll(path.vertices, -segment, axis=0)
    first = np.array([[point[0], point[1], tail]])
    closing = np.array([[rolled[0, 0], rolled[0, 1], head]])
    return Path(np.vstack([first, rolled[1:], closing]), True)
