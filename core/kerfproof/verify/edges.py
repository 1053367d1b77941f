"""The finished edge along the drawn one: where metal is left over, and where a round kerf can't reach.

A stretch of an edge is *covered* where one torch segment lies beside it at half a kerf all along: between two lines
the distance is greatest at the ends of the stretch, between concentric arcs it is the same everywhere, so nothing
can hide between samples. Edges that no single segment covers are cut at the feet of the torch path's vertices and
asked again; what then is still open is sampled.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.distance import closest_points, nearest, point_distances
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Bools, Floats, Ints, Segments
from kerfproof.verify.kept import Kept
from kerfproof.verify.limits import DEVIATION_ERROR, DEVIATION_SEEN
from kerfproof.verify.runs import TorchPath
from kerfproof.verify.sweep import Sweep

SPACING = 0.1
"""Open stretches are sampled this densely; the distance changes no faster than the place, so a sample speaks for
half of it to each side."""

MOST_SAMPLES = 400
"""An open stretch gets no more samples than this."""


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Samples (k,) of the drawn edges.

    `edge` and `share` tell where, `points` (k, 2) the place, `left` the distance from the kerf (positive: metal
    left over; inf: no torch near), `torch` the segment that comes nearest (-1: none), `fair` whether a round kerf
    could come no nearer. `unseen` is the most that could hide between samples of open stretches, mm.
    """

    edge: Ints
    share: Floats
    points: Floats
    left: Floats
    torch: Ints
    fair: Bools
    unseen: float


@dataclass(frozen=True, slots=True, eq=False)
class _Stretches:
    """Stretches of edges (p,) with the pairs of their edges: pair k belongs to stretch `of[k]`."""

    edge: Ints
    low: Floats
    high: Floats
    of: Ints
    torch: Ints


def finished_edges(kept: Kept, path: TorchPath, swept: Sweep) -> Edges:
    """Return the deviation of the finished edge along all drawn contours."""
    n = len(kept.edges)
    whole = _Stretches(np.arange(n), np.zeros(n), np.ones(n), swept.edge, swept.torch)
    first, covered = _judge(kept, path, whole)
    parts = _cut(kept, path, whole, ~covered)
    second, closed = _judge(kept, path, parts)
    open_ = np.flatnonzero(~closed)
    third, step = _sampled(kept, path, parts, open_)
    samples = [np.concatenate(column) for column in zip(first, second, third, strict=True)]
    edge, share = samples[0].astype(np.int64), samples[1]
    points = kept.edges.points(edge, share)
    left, torch = samples[2], samples[3].astype(np.int64)
    left, torch = _far(path, points, left, torch)
    fair = _fair(kept, path, edge, share, points, left, torch)
    unfair_open = open_[np.isin(parts.edge[open_], edge[(left > DEVIATION_SEEN) & ~fair])]
    return Edges(edge, share, points, left, torch, fair, step / 2 if len(unfair_open) else 0.0)


Columns = tuple[Floats, Floats, Floats, Floats]
"""Edge, share, left, torch of samples, as floats."""


def _judge(kept: Kept, path: TorchPath, s: _Stretches) -> tuple[Columns, Bools]:
    """Return samples at the start, middle and end of stretches, and which stretches one torch segment covers."""
    n = len(s.edge)
    columns = []
    worst = np.full(len(s.of), -np.inf)
    for share in (s.low, (s.low + s.high) / 2, s.high):
        points = kept.edges.points(s.edge, share)
        away = point_distances(points[s.of], path.segments, s.torch) - path.half_kerf[s.torch]
        least, which = _least(away, s.of, n)
        torch = np.where(which >= 0, s.torch[which] if len(s.torch) else -1, -1)
        columns.append((s.edge.astype(np.float64), share, least, torch.astype(np.float64)))
        worst = np.maximum(worst, away)
    beside = (worst <= DEVIATION_SEEN) & _alike(kept.edges, s.edge[s.of], path, s.torch)
    covered = np.zeros(n, dtype=np.bool_)
    covered[s.of[beside]] = True
    merged = [np.concatenate(column) for column in zip(*columns, strict=True)]
    return (merged[0], merged[1], merged[2], merged[3]), covered


def _least(values: Floats, of: Ints, n: int) -> tuple[Floats, Ints]:
    """Return the least value of each group (n,) and where it stands, inf and -1 of empty ones; `of` is sorted."""
    least, where = np.full(n, np.inf), np.full(n, -1, dtype=np.int64)
    if len(values):
        starts = np.flatnonzero(np.diff(of, prepend=-1) != 0)
        groups = of[starts]
        least[groups] = np.minimum.reduceat(values, starts)
        hits = np.flatnonzero(values == least[of])[::-1]
        where[of[hits]] = hits
    return least, where


def _alike(edges: Segments, e: Ints, path: TorchPath, t: Ints) -> Bools:
    """Return which pairs are two lines, or two arcs about one centre half a kerf apart."""
    arc_e, arc_t = edges.is_arc[e], path.segments.is_arc[t]
    r_e = np.where(arc_e, edges.radius[e], 0.0)
    r_t = np.where(arc_t, path.segments.radius[t], 0.0)
    apart = np.hypot(*(edges.center[e] - path.segments.center[t]).T)
    off = np.abs(np.abs(r_e - r_t) - path.half_kerf[t]) + apart
    return np.asarray((~arc_e & ~arc_t) | (arc_e & arc_t & (off <= DEVIATION_SEEN)))


def _cut(kept: Kept, path: TorchPath, s: _Stretches, which: Bools) -> _Stretches:
    """Return the picked stretches (whole edges) cut at the feet of the torch vertices beside them."""
    pairs = np.flatnonzero(which[s.of])
    e, t = s.of[pairs], s.torch[pairs]
    ends = np.concatenate([path.segments.p0[t], path.segments.p1[t]])
    e2 = np.concatenate([e, e])
    feet = shares_at(kept.edges, e2, closest_points(ends, kept.edges, e2)) if len(e2) else np.empty(0)
    edges = np.flatnonzero(which)
    edge = np.concatenate([e2, edges, edges])
    share = np.concatenate([feet, np.zeros(len(edges)), np.ones(len(edges))])
    order = np.lexsort((share, edge))
    edge, share = edge[order], share[order]
    keep = np.ones(len(edge), dtype=np.bool_)
    gap = np.diff(share) * kept.edges.lengths()[edge[1:]]
    keep[1:] = (np.diff(edge) != 0) | (gap > 1e-5)
    edge, share = edge[keep], share[keep]
    begin = np.flatnonzero(np.diff(edge) == 0)
    pieces, low, high = edge[begin], share[begin], share[begin + 1]
    of, pair = _expand(pieces, s.of)
    return _Stretches(pieces, low, high, of, s.torch[pair])


def _expand(edge: Ints, of: Ints) -> tuple[Ints, Ints]:
    """Return (row, pair) for all pairs of each edge (p,), `of` being the sorted edges of the pairs."""
    low, high = np.searchsorted(of, edge), np.searchsorted(of, edge, side="right")
    count = high - low
    row = np.repeat(np.arange(len(edge)), count)
    pair = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count) + low[row]
    return row, pair


def shares_at(s: Segments, which: Ints, points: Floats) -> Floats:
    """Return how far along segment `which` (k,) each point of it lies, 0 to 1."""
    chord = s.p1[which] - s.p0[which]
    line = ((points - s.p0[which]) * chord).sum(axis=1) / (chord * chord).sum(axis=1)
    arc = s.is_arc[which]
    away = points - s.center[which]
    turned = (np.arctan2(away[:, 1], away[:, 0]) - s.start_angle[which]) * np.sign(s.sweep[which])
    sweep = np.where(arc, np.abs(s.sweep[which]), 1.0)
    slack = (2 * np.pi - sweep) / 2
    bow = ((turned + slack) % (2 * np.pi) - slack) / sweep
    return np.asarray(np.clip(np.where(arc, bow, line), 0.0, 1.0))


def _sampled(kept: Kept, path: TorchPath, s: _Stretches, which: Ints) -> tuple[Columns, float]:
    """Return samples inside the picked stretches, and the widest spacing."""
    length = (s.high - s.low) * kept.edges.lengths()[s.edge]
    count = np.clip(np.ceil(length[which] / SPACING), 2, MOST_SAMPLES).astype(np.int64)
    row = np.repeat(which, count)
    step = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    share = s.low[row] + (s.high - s.low)[row] * (step + 0.5) / np.repeat(count, count)
    of, pair = _expand(row, s.of)
    points = kept.edges.points(s.edge[row], share)
    torch = s.torch[pair]
    away = point_distances(points[of], path.segments, torch) - path.half_kerf[torch]
    least, where = _least(away, of, len(row))
    nearest_torch = np.where(where >= 0, torch[where] if len(torch) else -1, -1)
    widest = float((length[which] / count).max(initial=0.0))
    return (s.edge[row].astype(np.float64), share, least, nearest_torch.astype(np.float64)), widest


def _far(path: TorchPath, points: Floats, left: Floats, torch: Ints) -> tuple[Floats, Ints]:
    """Return left and torch with samples that had no torch segment beside them measured over the whole sheet."""
    lost = np.flatnonzero(torch < 0)
    if len(lost) and len(path.segments):
        reach = 20 * float(path.half_kerf.max())
        away, found = nearest(points[lost], path.segments, reach)
        hit = found >= 0
        left, torch = left.copy(), torch.copy()
        left[lost[hit]] = away[hit] - path.half_kerf[found[hit]]
        torch[lost[hit]] = found[hit]
    return left, torch


def _fair(kept: Kept, path: TorchPath, edge: Ints, share: Floats, points: Floats, left: Floats, torch: Ints) -> Bools:
    """Return which samples lie in an inside corner that the round kerf fills as far as it can.

    The torch position nearest to the sample must touch the same contour on both sides of it: then any round kerf
    that came nearer would gouge one side.
    """
    fair = np.zeros(len(left), dtype=np.bool_)
    asked = np.flatnonzero((left > DEVIATION_SEEN) & (torch >= 0))
    if not len(asked):
        return fair
    center = closest_points(points[asked], path.segments, torch[asked])
    half = path.half_kerf[torch[asked]]
    k, e = Index(kept.edges.boxes()).pairs(point_boxes(center), half + DEVIATION_ERROR)
    contour = kept.edges.owner[edge[asked]]
    same = kept.edges.owner[e] == contour[k]
    k, e = k[same], e[same]
    touching = point_distances(center[k], kept.edges, e) <= half[k] + DEVIATION_ERROR
    k, e = k[touching], e[touching]
    lengths = kept.edges.lengths()
    foot = kept.along[e] + lengths[e] * shares_at(kept.edges, e, closest_points(center[k], kept.edges, e))
    here = (kept.along + 0.0)[edge[asked]] + lengths[edge[asked]] * share[asked]
    round_ = kept.perimeter[contour[k]]
    ahead = (foot - here[k] + round_ / 2) % round_ - round_ / 2
    before, after = np.zeros(len(asked), dtype=np.bool_), np.zeros(len(asked), dtype=np.bool_)
    before[k[ahead < -1e-6]] = True
    after[k[ahead > 1e-6]] = True
    fair[asked] = before & after
    return fair
