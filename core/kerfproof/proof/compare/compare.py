"""What is left of the plate against the drawing: gouge, leftover, what comes free, what is missing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.geom.path import Bools
from kerfproof.proof.compare.align import misplacement
from kerfproof.proof.compare.comparison_findings import misfits
from kerfproof.proof.compare.edges import SampledEdges, finished_edges
from kerfproof.proof.compare.match import Match, match
from kerfproof.proof.compare.measure import Measured, measure, most_left
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.proof.evidence.stock import Stock
from kerfproof.proof.evidence.sweep import STAGE, Sweep
from kerfproof.proof.limits import DEVIATION_ERROR
from kerfproof.proof.proof import EdgeSamples, PartProof
from kerfproof.proof.rule import Hit, as_findings
from kerfproof.sentence import mm, option, say

ASTRAY = 0.1
"""Where half the contours are off by more than this, the whole cut may be turned, mirrored or shifted."""


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """The drawing against what the program leaves. All mm; `unseen` is what could hide between samples."""

    findings: tuple[Finding, ...]
    parts: tuple[PartProof, ...]
    edges: EdgeSamples
    worst_gouge: float
    worst_leftover: float
    edge_deviation: float
    unseen: float
    misplaced: bool = False
    """Whether the whole cut lies elsewhere than the drawing, so that nothing else can be said of places."""
    made_for: float | None = None
    """The kerf that the path was made for, where it is another than that of the process all over; mm."""


SAME_OFF = 0.01
"""Where nearly all of the edge is off by the same amount within this, the path was made for another kerf, mm."""


def wrong_kerf(kept: Kept, stock: Stock, edges: SampledEdges, found: Match) -> float | None:
    """Return the kerf that the whole path was made for if that is not the one it is judged by, else None."""
    path = stock.path
    if not bool((found.free | _enclosed(kept, stock)).all()):
        return None
    seen = (edges.torch >= 0) & np.isfinite(edges.left) & ~edges.fair
    if not seen.any():
        return None
    # How near a path for another kerf comes to an inside corner tells nothing of that kerf.
    plain = seen & ~_in_corner(kept, edges)
    seen = np.where(np.isin(edges.edge, edges.edge[plain]), plain, seen)
    edge, left = edges.edge[seen], edges.left[seen]
    # Samples are dense where the edge is off: each drawn line or arc counts by its length, not by its samples.
    m = len(kept.edges)
    most, least = np.full(m, -np.inf), np.full(m, np.inf)
    np.maximum.at(most, edge, left)
    np.minimum.at(least, edge, left)
    known = np.flatnonzero(np.isfinite(most))
    length, middle = kept.edges.lengths()[known], (most[known] + least[known]) / 2
    order = np.argsort(middle, kind="stable")
    half_way = np.searchsorted(np.cumsum(length[order]), length.sum() / 2)
    off = float(middle[order][min(half_way, len(order) - 1)])
    alike = np.maximum(most[known] - off, off - least[known]) <= SAME_OFF
    owner, n = kept.edges.owner[known], len(kept.bundle)
    total = np.bincount(owner, length, minlength=n)
    share = np.bincount(owner, length * alike, minlength=n) / np.maximum(total, 1e-9)
    if abs(off) <= DEVIATION_ERROR or share[total > 0].min() < ALIKE:
        return None
    return 2 * (float(np.median(path.half_kerf[edges.torch[seen]])) + off)


CORNER, TURN = 3.0, np.radians(10.0)
"""Within this (mm) of a vertex where a contour turns by more than that its corner shapes what is left."""


def _in_corner(kept: Kept, edges: SampledEdges) -> Bools:
    """Return which samples lie near a corner of their contour."""
    s = kept.edges
    n, first = len(s), kept.bundle.start_of[:-1]
    following = np.arange(1, n + 1)
    following[kept.bundle.start_of[1:] - 1] = first
    every = np.arange(n)
    ahead, behind = s.tangents(every, np.ones(n)), s.tangents(following, np.zeros(n))
    sharp_end = (ahead * behind).sum(axis=1) < np.cos(TURN)
    sharp_start = np.zeros(n, dtype=np.bool_)
    sharp_start[following] = sharp_end
    length = s.lengths()[edges.edge]
    near_start = sharp_start[edges.edge] & (edges.share * length < CORNER)
    return np.asarray(near_start | (sharp_end[edges.edge] & ((1 - edges.share) * length < CORNER)))


def _enclosed(kept: Kept, stock: Stock) -> Bools:
    """Return which contours lie within something that comes free, or hold something that does, as they should."""
    n = len(kept.bundle)
    if not len(stock.loose):
        return np.zeros(n, dtype=np.bool_)
    outline = kept.is_outline()
    held, _ = stock.region.containers(kept.first_points())
    _, holder = kept.region.containers(stock.loose.vertices[stock.loose.start_of[:-1], :2])
    every = np.arange(n)
    return np.asarray(np.where(outline, np.isin(every, held), np.isin(every, holder)))


ALIKE = 0.9
"""Share of the edge of each contour that must agree."""


def _kerf_hit(evidence: Evidence, made_for: float) -> Hit:
    kerf = 2 * evidence.half_kerf
    side = "larger than drawn" if made_for > kerf else "smaller than drawn"
    message = say(
        "the path was made for a kerf of {made_for}, the kerf is {kerf}: every part comes out {side}",
        made_for=mm(made_for, ".2f"),
        kerf=mm(kerf, ".2f"),
        side=side,
    )
    advice = say(
        "if your tip cuts {made_for} wide, say so with {option} {made_for}; if not, write the program again for {kerf}",
        made_for=mm(made_for, ".2f"),
        kerf=mm(kerf, ".2f"),
        option=option("kerf"),
    )
    return Hit(message, advice, evidence.runs[0].light_line)


def compare(evidence: Evidence, kept: Kept, swept: Sweep, watch: Watch = no_watch) -> Comparison:
    """Return what the torch-on motion of a program does to the drawn contours."""
    path = evidence.path
    edges = finished_edges(kept, path, swept, watch)
    watch(STAGE, 0.8)
    found = match(kept, swept, edges, evidence.stock)
    measured = measure(kept, path, swept, edges, found)
    watch(STAGE, 0.9)
    astray = ~found.free | (measured.gouge > ASTRAY) | (measured.left > ASTRAY)
    made_for = wrong_kerf(kept, evidence.stock, edges, found)
    placed = misplacement(kept, path) if made_for is None and astray.mean() >= 0.5 else None
    if placed is not None:
        line = evidence.runs[0].light_line
        hit = Hit(placed.message, "check drawing, hand, zero and units, then write the program again", line)
        findings = as_findings(placed.rule, Severity.ERROR, [hit])
    elif made_for is not None:
        findings = as_findings("wrong-kerf", Severity.ERROR, [_kerf_hit(evidence, made_for)])
    else:
        findings = misfits(evidence, kept, swept, edges, found, measured)
    deviation = np.maximum(measured.gouge, measured.left) + measured.fit
    return Comparison(
        findings,
        _parts(kept, found, measured),
        _samples(kept, path, edges),
        float(max(swept.depth.max(initial=0.0), 0.0)),
        float(measured.left.max(initial=0.0)),
        float(deviation.max(initial=0.0)),
        edges.unseen,
        placed is not None,
        made_for,
    )


def _samples(kept: Kept, path: TorchPath, edges: SampledEdges) -> EdgeSamples:
    """Return the deviation along the drawn edges for the picture, in order of contour and place."""
    owner = kept.edges.owner[edges.edge]
    order = np.lexsort((edges.share, edges.edge))
    deviation = np.where(edges.fair, 0.0, np.minimum(edges.left, most_left(path)))
    return EdgeSamples(edges.points[order], owner[order], deviation[order])


def _parts(kept: Kept, found: Match, measured: Measured) -> tuple[PartProof, ...]:
    """Return what becomes of each drawn outline."""
    cut = found.free
    out = []
    children: dict[int, list[int]] = {}
    for hole, parent in enumerate(kept.parent.tolist()):
        children.setdefault(parent, []).append(hole)
    for outline in np.flatnonzero(kept.is_outline()).tolist():
        holes = children.get(outline, [])
        both = [outline, *holes]
        out.append(
            PartProof(
                outline,
                bool(cut[outline]),
                float(measured.gouge[both].max()),
                float(measured.left[both].max()),
                len(holes),
                int(cut[holes].sum()) if holes else 0,
                float(measured.rounded[both].max()),
            )
        )
    return tuple(out)
