"""How long paths are across."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Bundle, Floats, Segments


def longest_chords(paths: Bundle) -> Floats:
    """Return the longest chord of each path (n,), by its widths in eight directions: at most 2 % too large."""
    s, n = paths.segments(), len(paths)
    first = np.searchsorted(s.owner, np.arange(n))
    widest = np.zeros(n)
    for turn in np.arange(4) * np.pi / 8:
        matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        boxes = Segments.between(s.p0 @ matrix.T, s.p1 @ matrix.T, s.bulge).boxes()
        size = np.maximum.reduceat(boxes[:, 2:], first) - np.minimum.reduceat(boxes[:, :2], first)
        widest = np.maximum(widest, size.max(axis=1))
    return np.asarray(widest / np.cos(np.pi / 16))
