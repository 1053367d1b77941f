"""How near the torch comes to metal that is kept: exact least distances, no sampling, no polygons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.distance import nearest, pair_distances
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Floats, Ints, Segments
from kerfproof.verify.kept import Kept
from kerfproof.verify.runs import TorchPath

STAGE = "comparing with the drawing"

CORNER_REACH = 0.75
"""Drawn edges are paired with torch paths up to this far beyond half a kerf, so that inside corners find theirs."""

ON_SLIT = 0.05
"""A torch path that stays this near to a slit cuts that slit."""


@dataclass(frozen=True, slots=True, eq=False)
class Sweep:
    """The torch path beside the drawn edges.

    Pairs `edge`, `torch` (k,) of segments that may come near, sorted by edge, with their least `distance`.
    Of each torch segment (m,): `depth` is how far its kerf reaches into kept metal (negative: clear of it by that
    much, at most `CORNER_REACH`), `contour` the drawn contour it comes nearest to (-1: none near), `within`
    whether it runs inside kept metal, `on_slit` whether it cuts a drawn slit, which is no gouge.
    """

    edge: Ints
    torch: Ints
    distance: Floats
    depth: Floats
    contour: Ints
    within: Bools
    on_slit: Bools


def sweep(kept: Kept, path: TorchPath, slits: Segments | None, watch: Watch = no_watch) -> Sweep:
    """Return how the torch path lies beside the kept metal."""
    s = path.segments
    reach = float(path.half_kerf.max(initial=0.0)) + CORNER_REACH
    edge, torch = path.index.pairs(kept.index.boxes, reach)
    watch(STAGE, 0.0)
    distance = pair_distances(kept.edges, edge, s, torch)
    watch(STAGE, 0.4)
    depth = np.full(len(s), -CORNER_REACH)
    order = np.lexsort((edge, -distance))  # the nearest is written last
    contour = np.full(len(s), -1, dtype=np.int64)
    near = np.full(len(s), np.inf)
    near[torch[order]] = distance[order]
    contour[torch[order]] = kept.edges.owner[edge[order]]
    depth = np.maximum(path.half_kerf - near, depth)
    within = np.zeros(len(s), dtype=np.bool_)
    on_slit = np.zeros(len(s), dtype=np.bool_)
    if len(s):
        middles = s.points(np.arange(len(s)), np.full(len(s), 0.5))
        within = kept.holds(middles)
        on_slit = runs_on(s, slits, ON_SLIT) if slits is not None else on_slit
        # Where a path crosses an edge its deepest point may be an end.
        asked = np.flatnonzero(within | (near <= 1e-9))
        for share in (0.0, 0.25, 0.5, 0.75, 1.0):
            watch(STAGE, 0.6 + 0.4 * share)
            points = s.points(asked, np.full(len(asked), share))
            held = kept.holds(points)
            k = asked[held]
            away, found = nearest(points[held], kept.edges, np.inf, kept.index)
            deeper = path.half_kerf[k] + away > depth[k]
            depth[k[deeper]] = path.half_kerf[k[deeper]] + away[deeper]
            contour[k[deeper]] = kept.edges.owner[found[deeper]]
    return Sweep(edge, torch, distance, np.where(on_slit, -CORNER_REACH, depth), contour, within & ~on_slit, on_slit)


def runs_on(s: Segments, onto: Segments, tolerance: float) -> Bools:
    """Return which segments lie along the paths `onto` within `tolerance`: both ends and three places between."""
    out = np.ones(len(s), dtype=np.bool_)
    index = Index(onto.boxes())
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        points = s.points(np.arange(len(s)), np.full(len(s), share))
        out &= np.isfinite(nearest(points, onto, tolerance, index)[0])
    return out
