"""Which closed contours are round, and how wide holes are."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.inscribed_circle import inscribed_radii
from kerfproof.geom.path import Bundle, Floats

ROUND = 0.01
"""Arcs whose centres and radii agree to this many mm make a round hole."""


def hole_widths(paths: Bundle, enough: float = np.inf) -> Floats:
    """Return the width (mm) of each closed path (n,): the diameter, of others that of the largest circle inside.

    Of those not round that are at least `enough` wide it may be told too small, but not under `enough`.
    """
    out = np.array([np.nan if d is None else d for d in diameters_of(paths)], dtype=np.float64)
    other = np.flatnonzero(np.isnan(out))
    out[other] = 2 * inscribed_radii(Bundle.of([paths.path(k) for k in other.tolist()]), enough / 2)
    return out


def diameters_of(paths: Bundle) -> list[float | None]:
    """Return the diameter of each path that is closed and a circle within `ROUND`, None of the others."""
    found: list[float | None] = [None] * len(paths)
    sizes = np.diff(paths.start_of)
    arcs = np.add.reduceat(paths.vertices[:, 2] != 0, paths.start_of[:-1], dtype=np.int64) if len(paths) else sizes
    candidates = np.flatnonzero(paths.closed & (arcs == sizes))
    if not len(candidates):
        return found
    counts = sizes[candidates]
    begins = np.cumsum(counts) - counts
    rows = np.repeat(paths.start_of[candidates] - begins, counts) + np.arange(int(counts.sum()))
    s = Bundle(paths.vertices[rows], np.append(begins, len(rows)), paths.closed[candidates]).segments()
    spans = np.column_stack([s.center, s.radius])
    same = np.maximum.reduceat(spans, begins) - np.minimum.reduceat(spans, begins) <= ROUND
    full = np.abs(np.abs(np.add.reduceat(s.sweep, begins)) - 2 * np.pi) < 1e-6
    diameters = 2 * (np.add.reduceat(s.radius, begins) / counts)
    for k in np.flatnonzero(same.all(axis=1) & full).tolist():
        found[int(candidates[k])] = float(diameters[k])
    return found
