"""Pairs of arcs that meet each other and both given directions without a corner."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Floats


def biarc(p0: Floats, t0: Floats, p1: Floats, t1: Floats) -> Floats | None:
    """Return vertices (3, 3) of two arcs from `p0` with direction `t0` to `p1` with direction `t1` (unit).

    The two end tangents are equally long (Meek and Walton 1995 give the construction). None when an arc would
    go beyond a half circle or there is no such pair.
    """
    chord = p1 - p0
    square = float(chord @ chord)
    along = float(chord @ (t0 + t1))
    bend = 2.0 * (1.0 - float(t0 @ t1))
    if bend > 1e-12:
        reach = (np.sqrt(along * along + bend * square) - along) / bend
    elif along > 1e-12:
        reach = square / (2.0 * along)
    else:
        return None
    joint = (p0 + p1 + reach * (t0 - t1)) / 2
    first, second = _bulge(t0, joint - p0), -_bulge(t1, p1 - joint)
    if not (abs(first) <= 1.0 and abs(second) <= 1.0):
        return None
    return np.array([(p0[0], p0[1], first), (joint[0], joint[1], second), (p1[0], p1[1], 0.0)])


def _bulge(tangent: Floats, chord: Floats) -> float:
    """Return the bulge of the arc that leaves along `tangent` and spans `chord`: tan of half the angle between."""
    length = float(np.hypot(chord[0], chord[1]))
    cross = float(tangent[0] * chord[1] - tangent[1] * chord[0])
    return cross / max(length + float(tangent @ chord), 1e-300)
