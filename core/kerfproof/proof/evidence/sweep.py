"""How near the torch comes to metal that is kept: exact least distances, no sampling, no polygons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.distance import nearest, pair_distances
from kerfproof.geom.path import SAME_POINT, Bools, Floats, Ints, Segments
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import ON_SLIT, TorchPath

STAGE = "comparing with the drawing"

CORNER_REACH = 0.75
"""Drawn edges are paired with torch paths up to this far beyond half a kerf, so that inside corners find theirs."""

CLEAR = 1e-3
"""A torch path that stays farther than this from an edge surely does not cross it, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Sweep:
    """The torch path beside the drawn edges.

    Pairs `edge`, `torch` (k,) of segments that may come near, sorted by edge, with their least `distance`.
    Of each torch segment (m,): `depth` is how far its kerf reaches into kept metal (negative: clear of it by that
    much, at most `CORNER_REACH`), `contour` the drawn contour it comes nearest to (-1: none near), `within`
    whether it runs inside kept metal, `on_slit` whether it cuts a drawn slit all along, which is no gouge.
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
    near, contour = np.full(len(s), np.inf), np.full(len(s), -1, dtype=np.int64)
    np.minimum.at(near, torch, distance)
    nearest_one = np.flatnonzero(distance == near[torch])
    contour[torch[nearest_one]] = kept.edges.owner[edge[nearest_one]]
    depth = np.maximum(path.half_kerf - near, -CORNER_REACH)
    within = np.zeros(len(s), dtype=np.bool_)
    on_slit = np.zeros(len(s), dtype=np.bool_)
    if len(s):
        within = _held(kept, s, near)
        on_slit = _on(s, slits) if slits is not None else on_slit
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


def _held(kept: Kept, s: Segments, near: Floats) -> Bools:
    """Return which segments have their middle in kept metal (m,); `near` (m,) is how near they come to its edges.

    Between two segments in a row that both stay clear of all edges nothing changes: only the first of them is asked.
    """
    asked = np.ones(len(s), dtype=np.bool_)
    gap = np.abs(s.p0[1:] - s.p1[:-1])
    asked[1:] = (np.maximum(gap[:, 0], gap[:, 1]) > SAME_POINT) | (np.minimum(near[1:], near[:-1]) <= CLEAR)
    which = np.flatnonzero(asked)
    held = kept.holds(s.points(which, np.full(len(which), 0.5)))
    return np.asarray(held[np.cumsum(asked) - 1])


def _on(s: Segments, slits: Segments) -> Bools:
    """Return which segments lie on slits (m,): the torch path was cut where it begins and ends to do so."""
    middles = s.points(np.arange(len(s)), np.full(len(s), 0.5))
    return np.isfinite(nearest(middles, slits, ON_SLIT)[0])
