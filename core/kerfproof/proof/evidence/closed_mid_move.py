"""Cuts that close in the middle of a move: programs by hand run on over their start without a vertex there."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.distance import point_distances
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Bools, Floats, Ints, Segments

FROM_START = 64
"""So many vertices from its start a run may come back to in the middle of a move: its lead and the first corners."""


def split_where_met(s: Segments, first: Ints, asked: Bools, reach: float) -> Segments:
    """Return segments with those split that run over one of the first vertices of their own run.

    `first` (n + 1,) is where each run's segments begin, `asked` (n,) which runs to look at. A segment is split once,
    at the earliest vertex that lies on it within `reach` mm.
    """
    which = np.flatnonzero(asked[s.owner])
    place = which - first[s.owner[which]]
    vertices = which[place < FROM_START]
    if not len(vertices):
        return s
    k, j = Index(s.boxes()[which]).pairs(point_boxes(s.p0[vertices]), reach)
    k, j = vertices[k], which[j]
    later = (s.owner[k] == s.owner[j]) & (j > k + 1)
    k, j = k[later], j[later]
    on = point_distances(s.p0[k], s, j) <= reach
    for ends in (s.p0, s.p1):
        on &= np.hypot(*(ends[j] - s.p0[k]).T) > reach
    k, j = k[on], j[on]
    order = np.lexsort((k, j))
    k, j = k[order], j[order]
    once = np.diff(j, prepend=-1) != 0
    return _split(s, j[once], s.p0[k[once]])


def _split(s: Segments, which: Ints, points: Floats) -> Segments:
    """Return segments with some of them in two pieces that meet at a point each."""
    if not len(which):
        return s
    share = _shares(s, which, points)
    turn = s.sweep[which]
    at = which + 1
    p1, bulge = s.p1.copy(), s.bulge.copy()
    p1[which], bulge[which] = points, np.tan(turn * share / 4)
    return Segments.between(
        np.insert(s.p0, at, points, axis=0),
        np.insert(p1, at, s.p1[which], axis=0),
        np.insert(bulge, at, np.tan(turn * (1 - share) / 4)),
        np.insert(s.owner, at, s.owner[which]),
        np.insert(s.index, at, s.index[which]),
    )


def _shares(s: Segments, which: Ints, points: Floats) -> Floats:
    """Return how far along its segment each point lies, 0 to 1."""
    chord = s.p1[which] - s.p0[which]
    line = ((points - s.p0[which]) * chord).sum(axis=1) / (chord * chord).sum(axis=1)
    away = points - s.center[which]
    turned = (np.arctan2(away[:, 1], away[:, 0]) - s.start_angle[which]) * np.sign(s.sweep[which]) % (2 * np.pi)
    sweep = np.where(s.is_arc[which], np.abs(s.sweep[which]), 1.0)
    return np.asarray(np.clip(np.where(s.is_arc[which], turned / sweep, line), 1e-6, 1 - 1e-6))
