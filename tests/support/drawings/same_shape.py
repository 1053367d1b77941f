"""Whether two paths are drawn alike."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Path


def same_shape(a: Path, b: Path, tolerance: float = 1e-9) -> bool:
    """Return whether two paths have the same vertices and bulges, in order, within `tolerance`."""
    if a.closed != b.closed or a.vertices.shape != b.vertices.shape:
        return False
    return bool(np.allclose(a.vertices, b.vertices, rtol=0.0, atol=tolerance))
