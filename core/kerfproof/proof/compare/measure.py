"""The worst of each drawn contour: gouge, leftover, what corners keep, how well the curve was fitted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Floats, Ints
from kerfproof.proof.compare.edges import SampledEdges
from kerfproof.proof.compare.match import Match
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.proof.evidence.sweep import Sweep


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """What was measured, contour by contour (n,): worst gouge, leftover with its sample, fit error of the drawn curve.

    `depth` (m,) is that of the torch segments without surplus cuts; `rounded` the radius that fair corners leave.
    """

    depth: Floats
    gouge: Floats
    left: Floats
    left_at: list[int]
    fit: Floats
    rounded: Floats


def measure(kept: Kept, path: TorchPath, swept: Sweep, edges: SampledEdges, found: Match) -> Measured:
    """Return the worst of each contour."""
    n = len(kept.bundle)
    owner = kept.edges.owner[edges.edge]
    left = np.where(edges.fair, -np.inf, np.minimum(edges.left, most_left(path)))
    surplus = np.isin(path.segments.owner, path.ring_run[surplus_rings(path, swept, found)])
    depth = np.where(surplus, -np.inf, swept.depth)
    gouge, _ = worst_of(depth, swept.contour, n)
    worst_left, left_at = worst_of(left, owner, n)
    half = path.half_kerf[edges.torch] if len(path.half_kerf) else np.zeros(len(edges.torch))
    rounded, _ = worst_of(np.where(edges.fair, half, 0.0), owner, n)
    fit = np.array([contour.fit_error for contour in kept.contours])
    fit = np.maximum(fit, _fit_measured(kept))
    return Measured(depth, np.maximum(gouge, 0), np.maximum(worst_left, 0), left_at, fit, np.maximum(rounded, 0))


def most_left(path: TorchPath) -> float:
    """Return the leftover that stands for "no cut anywhere near", mm."""
    return 20 * float(path.half_kerf.max(initial=0.5))


def worst_of(values: Floats, groups: Ints, n: int) -> tuple[Floats, list[int]]:
    """Return the greatest value of each group (n,) and where it stands (-1: empty group)."""
    used = np.flatnonzero(groups >= 0)
    group, about = groups[used], np.round(values[used], 9)
    most, where = np.full(n, -np.inf), np.full(n, -1, dtype=np.int64)
    np.maximum.at(most, group, about)
    hits = np.flatnonzero(about == most[group])[::-1]
    where[group[hits]] = used[hits]  # the first of equals is written last
    return np.where(where >= 0, values[where], -np.inf) if len(values) else most, where.tolist()


def _fit_measured(kept: Kept) -> Floats:
    """Return how far points of the original curves lie from the contours fitted to them (n,)."""
    out = np.zeros(len(kept.contours))
    with_samples = [(i, c.samples) for i, c in enumerate(kept.contours) if c.samples is not None and len(c.samples)]
    if not with_samples:
        return out
    owner = np.concatenate([np.full(len(points), i) for i, points in with_samples])
    away, _ = nearest(np.vstack([points for _, points in with_samples]), kept.edges, 1.0, kept.index)
    np.maximum.at(out, owner, np.minimum(away, 1.0))
    return out


def surplus_rings(path: TorchPath, swept: Sweep, found: Match) -> Ints:
    """Return the closed cuts wholly inside kept metal that no contour asks for."""
    wanted = np.isin(np.arange(len(path.rings)), np.concatenate([found.ring, found.wrong]))
    out = [
        ring
        for ring, (first, stop) in enumerate(zip(path.ring_first, path.ring_stop, strict=True))
        if not wanted[ring] and swept.within[first:stop].all()
    ]
    return np.array(out, dtype=np.int64)
