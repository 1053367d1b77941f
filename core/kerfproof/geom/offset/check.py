"""Whether offset curves are what they should be: apart from themselves, and at the distance from their source."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.closest import pair_distances, point_distances
from kerfproof.geom.crossing import CROSS, OVERLAP, crossings, meetings_of_pairs, neighbours
from kerfproof.geom.index import own_pairs, point_boxes
from kerfproof.geom.offset.raw import MITRE_DEVIATION, MITRE_LIMIT
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments

TOLERANCE = 5e-4
"""A checked curve may be this far (mm) off its distance."""


def self_meetings(paths: Bundle, clearance: float) -> tuple[Bools, Bools]:
    """Return which paths (n,) cross themselves, and which come nearer to themselves than `clearance` (mm)."""
    s = paths.segments()
    boxes = s.boxes()
    i, j = own_pairs(boxes, s.owner, boxes, s.owner, clearance)
    i, j = i[i < j], j[i < j]
    on, around = neighbours(s, i, j)
    crossed, narrow = np.zeros(len(paths), dtype=np.bool_), np.zeros(len(paths), dtype=np.bool_)
    beside = on | around
    loose = ~beside
    away = pair_distances(s, i[loose], s, j[loose])
    narrow[s.owner[i[loose][away < clearance]]] = True
    met = np.flatnonzero(loose)[away <= 1e-6]
    ask = np.sort(np.concatenate([np.flatnonzero(beside), met]))
    found = meetings_of_pairs(s, i[ask], j[ask])
    crossed[s.owner[found.i]] = True
    return crossed, narrow


def crosses_itself(paths: Bundle) -> Bools:
    """Return which paths (n,) go through themselves or run on themselves; touching is allowed."""
    s = paths.segments()
    found = crossings(s, owner_pairs="same")
    bad = np.isin(found.kind, [CROSS, OVERLAP])
    out = np.zeros(len(paths), dtype=np.bool_)
    out[s.owner[found.i[bad]]] = True
    return out


def own_distances(points: Floats, owner: Ints, source: Segments, reach: Floats) -> Floats:
    """Return the distance (k,) of each point to the source segments of its own path, inf beyond `reach` (k,)."""
    k, j = own_pairs(point_boxes(points), owner, source.boxes(), source.owner, reach + 1e-9)
    out = np.full(len(points), np.inf)
    np.minimum.at(out, k, point_distances(points[k], source, j))
    return out


def at_distance(curves: Bundle, owner: Ints, source: Segments, distance: Floats, sharp: bool) -> Bools:
    """Return which curves (n,) lie at their `distance` (n,) from their own source path, nowhere nearer.

    `owner` (n,) is the path number in `source`. Nearer is judged exactly, farther at quarters of each segment.
    """
    s = curves.segments()
    d = np.abs(distance)[s.owner]
    good = np.ones(len(curves), dtype=np.bool_)
    i, j = own_pairs(s.boxes(), owner[s.owner], source.boxes(), source.owner, d)
    near = pair_distances(s, i, source, j) < d[i] - TOLERANCE
    good[s.owner[i[near]]] = False
    most = d * (MITRE_LIMIT if sharp else 1.0) + MITRE_DEVIATION + TOLERANCE
    everything = np.arange(len(s))
    for share in (0.0, 0.25, 0.5, 0.75):
        points = s.points(everything, np.full(len(s), share))
        far = ~(own_distances(points, owner[s.owner], source, most) <= most)
        good[s.owner[far]] = False
    return good
