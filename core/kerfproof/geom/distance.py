"""Exact distances between segments and points, the nearest ones, and where segments meet."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.closest import closest_points, pair_distances, point_distances
from kerfproof.geom.crossing import Crossings, crossings
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Floats, Ints, Segments

__all__ = ["Crossings", "closest_points", "crossings", "nearest", "pair_distances", "point_distances"]

_CHUNK = 1 << 14


def nearest(points: Floats, s: Segments, reach: float, index: Index | None = None) -> tuple[Floats, Ints]:
    """Return for each point (k, 2) the distance to the nearest segment and its number, both (k,).

    Where no segment lies within `reach` (mm, may be infinite) the distance is inf and the number -1. Of equally
    near segments the lowest number is taken. Give `index` = ``Index(s.boxes())`` to use it again.
    """
    points = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    tree = Index(s.boxes()) if index is None else index
    distance = np.full(len(points), np.inf)
    number = np.full(len(points), -1, dtype=np.int64)
    for low in range(0, len(points), _CHUNK):
        part = slice(low, low + _CHUNK)
        distance[part], number[part] = _nearest(points[part], s, reach, tree)
    return distance, number


def _nearest(points: Floats, s: Segments, reach: float, tree: Index) -> tuple[Floats, Ints]:
    distance = np.full(len(points), np.inf)
    number = np.full(len(points), -1, dtype=np.int64)
    if not len(points) or not len(s):
        return distance, number
    bound = np.full(len(points), float(reach))
    if _crowded(points, reach, tree):
        guess = tree.some_near(points, reach)
        has = np.flatnonzero(guess >= 0)
        bound[has] = np.minimum(bound[has], point_distances(points.take(has, axis=0), s, guess[has]))
    ask = np.flatnonzero(np.isfinite(bound))
    i, j = tree.pairs(point_boxes(points.take(ask, axis=0)), bound[ask] * (1 + 1e-12) + 1e-9)
    i = ask[i]
    away = point_distances(points.take(i, axis=0), s, j)
    order = np.lexsort((j, away, i))
    first = order[np.diff(i[order], prepend=-1) != 0]
    first = first[away[first] <= reach]
    distance[i[first]], number[i[first]] = away[first], j[first]
    return distance, number


def _crowded(points: Floats, reach: float, tree: Index) -> bool:
    """Return whether so many boxes lie within reach that a first guess pays."""
    if not np.isfinite(reach):
        return True
    some = points[:: max(1, len(points) // 64)]
    return len(tree.pairs(point_boxes(some), reach)[0]) > 12 * len(some)
