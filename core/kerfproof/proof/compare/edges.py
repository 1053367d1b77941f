"""The finished edge along the drawn one: where metal is left over, and where a round kerf can't reach.

A stretch of an edge is *covered* where one torch segment lies beside it at half a kerf all along: between two lines
the distance is greatest at the ends of the stretch, between concentric arcs it is the same everywhere, so nothing
can hide between samples. Edges that no single segment covers are cut at the feet of the torch path's vertices and
asked again; what then is still open is sampled.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.counted import counted, ranges
from kerfproof.geom.distance import closest_points, nearest, point_distances
from kerfproof.geom.path import Bools, Floats, Ints, Segments
from kerfproof.proof.compare.corners import fair_samples, shares_at
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.proof.evidence.sweep import STAGE, Sweep
from kerfproof.proof.limits import DEVIATION_SEEN

SPACING = 0.1
"""Open stretches are sampled this densely; the distance changes no faster than the place, so a sample speaks for
half of it to each side."""

MOST_SAMPLES = 400
"""An open stretch gets no more samples than this."""


@dataclass(frozen=True, slots=True, eq=False)
class SampledEdges:
    """Samples (k,) of the drawn edges.

    `edge` and `share` tell where, `points` (k, 2) the place, `left` the distance from the kerf (positive: metal
    left over; inf: no torch near), `torch` the segment that comes nearest (-1: none), `fair` whether a round kerf
    could come no nearer, `notch` whether that is so because walls face each other nearer than the kerf. `unseen` is
    the most that could hide between samples of open stretches, mm.
    """

    edge: Ints
    share: Floats
    points: Floats
    left: Floats
    torch: Ints
    fair: Bools
    notch: Bools
    unseen: float


@dataclass(frozen=True, slots=True, eq=False)
class _Stretches:
    """Stretches of edges (p,) with the pairs of their edges: pair k belongs to stretch `of[k]`."""

    edge: Ints
    low: Floats
    high: Floats
    of: Ints
    torch: Ints


def finished_edges(kept: Kept, path: TorchPath, swept: Sweep, watch: Watch = no_watch) -> SampledEdges:
    """Return the deviation of the finished edge along all drawn contours."""
    n = len(kept.edges)
    whole = _Stretches(np.arange(n), np.zeros(n), np.ones(n), swept.edge, swept.torch)
    starts, middles, _, covered = _judge(kept, path, whole)
    watch(STAGE, 0.2)
    parts = _cut(kept, path, whole, ~covered)
    lows, halves, highs, closed = _judge(kept, path, parts)
    watch(STAGE, 0.4)
    vertices = _known(kept, path, starts)
    feet = _known(kept, path, lows.take(np.flatnonzero(parts.low > 0)))
    corner = np.flatnonzero(~closed & _ends_in_corner(kept, path, parts, vertices, lows, highs))
    between = _known(kept, path, halves.take(corner))
    closed[corner] = (between.left <= DEVIATION_SEEN) | between.fair
    watch(STAGE, 0.6)
    inner, step = _sampled(kept, path, parts, np.flatnonzero(~closed))
    sampled = _known(kept, path, inner)
    every = [vertices, _known(kept, path, middles), feet, between, sampled, _refined(kept, path, sampled, step)]
    return SampledEdges(
        np.concatenate([e.edge for e in every]),
        np.concatenate([e.share for e in every]),
        np.concatenate([e.points for e in every]),
        np.concatenate([e.left for e in every]),
        np.concatenate([e.torch for e in every]),
        np.concatenate([e.fair for e in every]),
        np.concatenate([e.notch for e in every]),
        step / 2,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Samples:
    """Places on edges with the nearest torch segment beside their edge (-1: none) and what is left there."""

    edge: Ints
    share: Floats
    left: Floats
    torch: Ints

    def take(self, which: Ints) -> _Samples:
        return _Samples(self.edge[which], self.share[which], self.left[which], self.torch[which])


def _known(kept: Kept, path: TorchPath, s: _Samples) -> SampledEdges:
    """Return samples with all that is to be known of them."""
    points = kept.edges.points(s.edge, s.share)
    left, torch = _far(path, points, s.left, s.torch)
    fair, notch = fair_samples(kept, path, s.edge, s.share, points, left, torch)
    return SampledEdges(s.edge, s.share, points, left, torch, fair, notch, 0.0)


def _judge(kept: Kept, path: TorchPath, s: _Stretches) -> tuple[_Samples, _Samples, _Samples, Bools]:
    """Return samples at the start, middle and end of stretches, and which stretches one torch segment covers."""
    out = []
    worst, half = np.full(len(s.of), -np.inf), path.half_kerf[s.torch]
    for share in (s.low, (s.low + s.high) / 2, s.high):
        points = kept.edges.points(s.edge, share)
        away = point_distances(points.take(s.of, axis=0), path.segments, s.torch) - half
        out.append(_nearest(s.edge, share, away, s.of, s.torch))
        worst = np.maximum(worst, away)
    beside = np.flatnonzero(worst <= DEVIATION_SEEN)
    of = s.of[beside]
    covered = np.zeros(len(s.edge), dtype=np.bool_)
    covered[of[_alike(kept.edges, s.edge[of], path, s.torch[beside])]] = True
    return out[0], out[1], out[2], covered


def _nearest(edge: Ints, share: Floats, away: Floats, of: Ints, torch: Ints) -> _Samples:
    """Return samples from the distances of their pairs."""
    least, where = _least(away, of, len(edge))
    return _Samples(edge, share, least, np.where(where >= 0, torch[where] if len(torch) else -1, -1))


def _ends_in_corner(
    kept: Kept, path: TorchPath, s: _Stretches, vertices: SampledEdges, lows: _Samples, highs: _Samples
) -> Bools:
    """Return which short stretches end in a fair corner on one side, and on the other too or where the kerf reaches.

    They run from the foot of the torch path's corner to the corner of the edge: one sample between tells the rest.
    """
    following = _following(kept)
    fair_low = (s.low == 0) & vertices.fair[s.edge]
    fair_high = (s.high == 1) & vertices.fair[following[s.edge]]
    at_low = fair_low | (lows.left <= DEVIATION_SEEN)
    at_high = fair_high | (highs.left <= DEVIATION_SEEN)
    short = (s.high - s.low) * kept.edges.lengths()[s.edge] <= 4 * float(path.half_kerf.max(initial=0.0))
    return np.asarray((fair_low | fair_high) & at_low & at_high & short)


def _following(kept: Kept) -> Ints:
    """Return the number of the edge after each edge of its contour."""
    out = np.arange(1, len(kept.edges) + 1)
    out[kept.bundle.start_of[1:] - 1] = kept.bundle.start_of[:-1]
    return out


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
    arc_e, arc_t = edges.bulge[e] != 0, path.segments.bulge[t] != 0
    out: Bools = ~arc_e & ~arc_t
    both = np.flatnonzero(arc_e & arc_t)
    e, t = e[both], t[both]
    between = edges.center.take(e, axis=0) - path.segments.center.take(t, axis=0)
    apart = np.hypot(between[:, 0], between[:, 1])
    off = np.abs(np.abs(edges.radius[e] - path.segments.radius[t]) - path.half_kerf[t]) + apart
    out[both] = off <= DEVIATION_SEEN
    return out


def _cut(kept: Kept, path: TorchPath, s: _Stretches, which: Bools) -> _Stretches:
    """Return the picked stretches (whole edges) cut at the feet of the torch vertices beside them."""
    pairs = np.flatnonzero(which[s.of])
    e, t = s.of[pairs], s.torch[pairs]
    ends = np.concatenate([path.segments.p0.take(t, axis=0), path.segments.p1.take(t, axis=0)])
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
    return ranges(np.searchsorted(of, edge), np.searchsorted(of, edge, side="right"))


def _sampled(kept: Kept, path: TorchPath, s: _Stretches, which: Ints) -> tuple[_Samples, float]:
    """Return samples inside the picked stretches, and the widest spacing."""
    length = (s.high - s.low) * kept.edges.lengths()[s.edge]
    count = np.clip(np.ceil(length[which] / SPACING), 2, MOST_SAMPLES).astype(np.int64)
    at, step = counted(count)
    row = which[at]
    share = s.low[row] + (s.high - s.low)[row] * (step + 0.5) / count[at]
    of, pair = _expand(row, s.of)
    points = kept.edges.points(s.edge[row], share)
    torch = s.torch[pair]
    away = point_distances(points.take(of, axis=0), path.segments, torch) - path.half_kerf[torch]
    return _nearest(s.edge[row], share, away, of, torch), float((length[which] / count).max(initial=0.0))


def _refined(kept: Kept, path: TorchPath, samples: SampledEdges, step: float) -> SampledEdges:
    """Return more samples round the worst unfair one of each contour, down to 1/400 of the spacing."""
    told = np.flatnonzero(~samples.fair & (samples.left > DEVIATION_SEEN) & (samples.torch >= 0))
    owner = kept.edges.owner[samples.edge[told]]
    order = np.lexsort((-np.round(samples.left[told], 9), owner))
    worst = told[order][np.diff(owner[order], prepend=-1) != 0]
    edge, share = samples.edge[worst], samples.share[worst]
    lengths = kept.edges.lengths()[edge]
    for reach in (step, step / 20):
        offsets = np.linspace(-reach, reach, 41)
        shares = np.clip(share[:, None] + offsets / lengths[:, None], 0.0, 1.0)
        edges = np.repeat(edge, len(offsets))
        points = kept.edges.points(edges, shares.ravel())
        away, found = nearest(points, path.segments, 20 * float(path.half_kerf.max(initial=0.0)), path.index)
        left = np.where(found >= 0, away - path.half_kerf[found] if len(path.half_kerf) else np.inf, -np.inf)
        best = left.reshape(len(edge), len(offsets)).argmax(axis=1)
        share = shares[np.arange(len(edge)), best]
    points = kept.edges.points(edge, share)
    left, torch = _far(path, points, np.full(len(edge), np.inf), np.full(len(edge), -1))
    fair, notch = fair_samples(kept, path, edge, share, points, left, torch)
    return SampledEdges(edge, share, points, left, torch, fair, notch, 0.0)


def _far(path: TorchPath, points: Floats, left: Floats, torch: Ints) -> tuple[Floats, Ints]:
    """Return left and torch with samples that had no torch segment beside them measured over the whole sheet."""
    lost = np.flatnonzero(torch < 0)
    if len(lost) and len(path.segments):
        reach = 20 * float(path.half_kerf.max())
        away, found = nearest(points.take(lost, axis=0), path.segments, reach, path.index)
        hit = found >= 0
        left, torch = left.copy(), torch.copy()
        left[lost[hit]] = away[hit] - path.half_kerf[found[hit]]
        torch[lost[hit]] = found[hit]
    return left, torch
