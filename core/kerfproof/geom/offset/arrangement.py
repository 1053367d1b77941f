"""The exact offset of hard paths: all raw pieces, split where they meet, kept where nothing is nearer, stitched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.carrier import norm
from kerfproof.geom.crossing import meeting_places, share_along
from kerfproof.geom.index import own_pairs, point_boxes
from kerfproof.geom.offset.check import own_distances
from kerfproof.geom.offset.raw import MITRED, ROUND, SHARED, SNAP, Raw, met_ends, raw_offset
from kerfproof.geom.offset.stitch import stitched
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments

MEET = 1e-6
"""Pieces nearer than this (mm) meet."""
ONE_NODE = 2e-6
"""Ends nearer than this (mm) are one node."""
NEARER = 4e-6
"""A piece is dropped when its middle lies nearer to the source than the distance by more than this (mm)."""
SMALLEST_RADIUS = 1e-6
CRUMB, CRUMBS = 2e-2, 1e-3
"""Dead ends up to this length (mm) each, and this share of the curve in all, are left by pieces that part within
rounding; more is a gap in the curve."""


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Kept pieces from node to node: `tail`, `head` (m,), the segments they are, and the place of each node."""

    segments: Segments
    tail: Ints
    head: Ints
    nodes: Floats


def arranged_offset(paths: Bundle, distance: Floats, sharp: bool) -> list[list[Floats] | None]:
    """Return for each closed path the vertices of its offset loops, or None where they don't close.

    An empty list means that nothing is left.
    """
    raw = raw_offset(paths, distance, sharp)
    pieces = _pieces(raw)
    parts = _split(pieces)
    middle = parts.points(np.arange(len(parts)), np.full(len(parts), 0.5))
    reach = np.abs(distance)[parts.owner]
    nearest = own_distances(middle, parts.owner, raw.source, reach)
    edges = _edges(parts.take(nearest >= reach - NEARER))
    edges = _without_twins(edges)
    edges, torn = _without_dead_ends(edges, len(paths))
    out: list[list[Floats] | None] = []
    for path in range(len(paths)):
        if torn[path]:
            out.append(None)
            continue
        own = np.flatnonzero(edges.segments.owner == path)
        out.append(stitched(edges.segments.take(own), edges.tail[own], edges.head[own], edges.nodes, distance[path]))
    return out


def _pieces(raw: Raw) -> Segments:
    """Return all shifted segments and corner pieces; those that run into each other overlap as they are."""
    near = norm(raw.end - raw.begin[raw.following]) <= SNAP
    begin, end, sweep = met_ends(raw, (raw.kind == SHARED) & (raw.gap | near))
    owner = raw.source.owner
    used = (raw.radius > SMALLEST_RADIUS) & (norm(end - begin) > 1e-9)
    bulge = np.tan(sweep / 4)
    after = begin[raw.following]
    r, m = np.flatnonzero(raw.kind == ROUND), np.flatnonzero(raw.kind == MITRED)
    return _halved(
        Segments.between(
            np.vstack([begin[used], end[r], end[m], raw.corner[m]]),
            np.vstack([end[used], after[r], raw.corner[m], after[m]]),
            np.concatenate([bulge[used], np.tan(raw.turn[r] / 4), np.zeros(2 * len(m))]),
            np.concatenate([owner[used], owner[r], owner[m], owner[m]]),
        )
    )


def _halved(s: Segments) -> Segments:
    """Return the segments with arcs over a half circle cut in two."""
    wide = np.flatnonzero(np.abs(s.bulge) > 1.0)
    if not len(wide):
        return s
    middle = s.points(wide, np.full(len(wide), 0.5))
    bulge = s.bulge.copy()
    bulge[wide] = np.tan(s.sweep[wide] / 8)
    p1 = s.p1.copy()
    p1[wide] = middle
    return Segments.between(
        np.vstack([s.p0, middle]),
        np.vstack([p1, s.p1[wide]]),
        np.append(bulge, bulge[wide]),
        np.append(s.owner, s.owner[wide]),
    )


def _split(pieces: Segments) -> Segments:
    """Return the pieces cut wherever another of the same path meets them."""
    boxes = pieces.boxes()
    i, j = own_pairs(boxes, pieces.owner, boxes, pieces.owner, MEET)
    i, j = i[i < j], j[i < j]
    places, _ = meeting_places(pieces, i, j, MEET)
    k, column = np.nonzero(np.isfinite(places[:, :, 0]))
    at = places[k, column]
    everything = np.arange(len(pieces))
    which = np.concatenate([i[k], j[k], everything, everything])
    share = np.concatenate(
        [share_along(pieces, i[k], at), share_along(pieces, j[k], at), np.zeros(len(pieces)), np.ones(len(pieces))]
    )
    share = np.clip(share, 0.0, 1.0)
    order = np.lexsort((share, which))
    which, share = which[order], share[order]
    # Cuts nearer than a node's width are one cut; the ends themselves stay.
    length = pieces.lengths()[which]
    fresh = (np.diff(which, prepend=-1) != 0) | (np.diff(share, prepend=-1.0) * length > ONE_NODE / 2)
    which, share = which[fresh], share[fresh]
    last = np.diff(which, append=-1) != 0
    share[last] = 1.0
    first = np.diff(which, prepend=-1) != 0
    share[first] = 0.0
    lone = first & last
    a = np.flatnonzero(~last & ~lone)
    p = which[a]
    bulge = np.tan(pieces.sweep[p] * (share[a + 1] - share[a]) / 4)
    p0, p1 = pieces.points(p, share[a]), pieces.points(p, share[a + 1])
    real = norm(p1 - p0) > 1e-9
    bulge = np.where(np.abs(pieces.bulge[p]) > 0, bulge, 0.0)
    index = np.zeros(int(real.sum()), dtype=np.int64)
    return Segments.between(p0[real], p1[real], bulge[real], pieces.owner[p][real], index)


def _edges(parts: Segments) -> Edges:
    """Return the parts with their ends gathered into nodes."""
    points = np.vstack([parts.p0, parts.p1])
    owner = np.concatenate([parts.owner, parts.owner])
    boxes = point_boxes(points)
    label = _components(len(points), *own_pairs(boxes, owner, boxes, owner, ONE_NODE))
    n = len(parts)
    tail, head = label[:n], label[n:]
    far = tail != head
    return Edges(parts.take(far), tail[far], head[far], points)


def _components(n: int, i: Ints, j: Ints) -> Ints:
    """Return for each of `n` points the lowest number of those it hangs together with by pairs."""
    label = np.arange(n)
    while True:
        before = label.copy()
        np.minimum.at(label, i, before[j])
        np.minimum.at(label, j, label[i])
        label = label[label]
        if (label == before).all():
            return label


def _without_twins(edges: Edges) -> Edges:
    """Return the edges without doubles: of the same way one is kept, of opposite ways none.

    Two that run opposite on each other enclose nothing: the slot there is exactly two distances wide.
    """
    s = edges.segments
    if not len(s):
        return edges
    middle = s.points(np.arange(len(s)), np.full(len(s), 0.5))
    low, high = np.minimum(edges.tail, edges.head), np.maximum(edges.tail, edges.head)
    i, j = own_pairs(point_boxes(middle), s.owner, point_boxes(middle), s.owner, 2 * ONE_NODE)
    alike = (low[i] == low[j]) & (high[i] == high[j])
    group = _components(len(s), i[alike], j[alike])
    way = np.where(edges.tail == low, 1, -1)
    net = np.bincount(group, way, minlength=len(s))
    wanted = np.sign(net[group]) == way
    first = np.full(len(s), len(s))
    np.minimum.at(first, group[wanted], np.flatnonzero(wanted))
    keep = wanted & (first[group] == np.arange(len(s)))
    return Edges(s.take(keep), edges.tail[keep], edges.head[keep], edges.nodes)


def _without_dead_ends(edges: Edges, n_paths: int) -> tuple[Edges, Bools]:
    """Return the edges that have one before and one after them, and of which paths more than crumbs was dropped."""
    keep = np.ones(len(edges.tail), dtype=np.bool_)
    n = len(edges.nodes)
    while True:
        entered = np.bincount(edges.head[keep], minlength=n) > 0
        left = np.bincount(edges.tail[keep], minlength=n) > 0
        alive: Bools = keep & entered[edges.tail] & left[edges.head]
        if (alive == keep).all():
            break
        keep = alive
    lengths = edges.segments.lengths()
    owner = edges.segments.owner
    dropped = np.bincount(owner[~keep], lengths[~keep], minlength=n_paths)
    kept = np.bincount(owner[keep], lengths[keep], minlength=n_paths)
    torn: Bools = dropped > CRUMB / 2 + CRUMBS * kept
    torn[owner[~keep][lengths[~keep] > CRUMB]] = True
    return Edges(edges.segments.take(keep), edges.tail[keep], edges.head[keep], edges.nodes), torn
