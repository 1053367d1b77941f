"""What is left of the plate against the drawing: gouge, leftover, what comes free, what is missing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bools, Floats, Ints, Segments
from kerfproof.verify.align import misplacement
from kerfproof.verify.edges import Edges, finished_edges
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.kept import Kept
from kerfproof.verify.limits import DEVIATION_ERROR, DEVIATION_SEEN
from kerfproof.verify.match import Match, match
from kerfproof.verify.proof import EdgeSamples, PartProof
from kerfproof.verify.rule import Hit, as_findings
from kerfproof.verify.runs import TorchPath
from kerfproof.verify.sweep import ON_SLIT, Sweep

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


@dataclass(frozen=True, slots=True, eq=False)
class _Measured:
    """What was measured, contour by contour (n,): worst gouge, leftover with its sample, fit error of the drawn curve.

    `depth` (m,) is that of the torch segments without surplus cuts; `unreached` what fair corners leave, `rounded`
    the radius they leave.
    """

    depth: Floats
    gouge: Floats
    left: Floats
    left_at: list[int]
    fit: Floats
    unreached: Floats
    rounded: Floats


def compare(evidence: Evidence, kept: Kept, swept: Sweep) -> Comparison:
    """Return what the torch-on motion of a program does to the drawn contours."""
    path = evidence.path
    edges = finished_edges(kept, path, swept)
    found = match(kept, path, swept, edges)
    measured = _measure(kept, path, swept, edges, found)
    astray = (found.ring < 0) | (measured.gouge > ASTRAY) | (measured.left > ASTRAY)
    placed = misplacement(kept, path) if astray.mean() >= 0.5 else None
    if placed is not None:
        findings = as_findings(placed[0], Severity.ERROR, [placed[1]])
    else:
        findings = _findings(evidence, kept, swept, edges, found, measured)
    deviation = np.maximum(measured.gouge, measured.left) + measured.fit
    return Comparison(
        findings,
        _parts(kept, found, measured),
        _samples(kept, path, edges),
        float(max(swept.depth.max(initial=0.0), 0.0)),
        float(measured.left.max(initial=0.0)),
        float(deviation.max(initial=0.0)),
        edges.unseen,
    )


def _measure(kept: Kept, path: TorchPath, swept: Sweep, edges: Edges, found: Match) -> _Measured:
    """Return the worst of each contour."""
    n = len(kept.bundle)
    owner = kept.edges.owner[edges.edge]
    left = np.where(edges.fair, -np.inf, np.minimum(edges.left, _most(path)))
    surplus = np.isin(path.segments.owner, path.ring_run[_surplus_rings(path, swept, found)])
    depth = np.where(surplus, -np.inf, swept.depth)
    gouge, _ = _worst(depth, swept.contour, n)
    worst_left, left_at = _worst(left, owner, n)
    unreached, _ = _worst(np.where(edges.fair, edges.left, -np.inf), owner, n)
    half = path.half_kerf[edges.torch] if len(path.half_kerf) else np.zeros(len(edges.torch))
    rounded, _ = _worst(np.where(edges.fair, half, 0.0), owner, n)
    fit = np.array([contour.fit_error for contour in kept.contours])
    fit = np.maximum(fit, _fit_measured(kept))
    return _Measured(
        depth, np.maximum(gouge, 0), np.maximum(worst_left, 0), left_at, fit, unreached, np.maximum(rounded, 0)
    )


def _most(path: TorchPath) -> float:
    """Return the leftover that stands for "no cut anywhere near", mm."""
    return 20 * float(path.half_kerf.max(initial=0.5))


def _worst(values: Floats, groups: Ints, n: int) -> tuple[Floats, list[int]]:
    """Return the greatest value of each group (n,) and where it stands (-1: empty group)."""
    order = np.lexsort((-np.arange(len(values)), np.round(values, 9)))
    order = order[groups[order] >= 0]
    out, where = np.full(n, -np.inf), np.full(n, -1, dtype=np.int64)
    out[groups[order]] = values[order]
    where[groups[order]] = order
    return out, where.tolist()


def _fit_measured(kept: Kept) -> Floats:
    """Return how far points of the original curves lie from the contours fitted to them (n,)."""
    out = np.zeros(len(kept.contours))
    with_samples = [(i, c.samples) for i, c in enumerate(kept.contours) if c.samples is not None and len(c.samples)]
    if not with_samples:
        return out
    owner = np.concatenate([np.full(len(points), i) for i, points in with_samples])
    away, _ = nearest(np.vstack([points for _, points in with_samples]), kept.edges, 1.0)
    np.maximum.at(out, owner, np.minimum(away, 1.0))
    return out


def _samples(kept: Kept, path: TorchPath, edges: Edges) -> EdgeSamples:
    """Return the deviation along the drawn edges for the picture, in order of contour and place."""
    owner = kept.edges.owner[edges.edge]
    order = np.lexsort((edges.share, edges.edge))
    deviation = np.where(edges.fair, 0.0, np.minimum(edges.left, _most(path)))
    return EdgeSamples(edges.points[order], owner[order], deviation[order])


def _parts(kept: Kept, found: Match, measured: _Measured) -> tuple[PartProof, ...]:
    """Return what becomes of each drawn outline."""
    cut = found.ring >= 0
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


def _findings(
    evidence: Evidence, kept: Kept, swept: Sweep, edges: Edges, found: Match, measured: _Measured
) -> tuple[Finding, ...]:
    """Return what is wrong, each kind as one rule."""
    lead = evidence.path.leads()
    kinds = (
        ("feature-not-cut", Severity.ERROR, _missing(kept, found)),
        ("wrong-side", Severity.ERROR, _wrong_side(evidence, kept, found)),
        ("surplus-cut", Severity.ERROR, _surplus(evidence, swept, found)),
        ("not-free", Severity.ERROR, _not_free(kept, found)),
        ("gouge", Severity.ERROR, _gouges(evidence, swept, found, measured, lead)),
        ("metal-left", Severity.ERROR, _leftovers(evidence, edges, found, measured)),
        ("corner-not-reached", Severity.WARNING, _unreached(evidence, kept, measured)),
        ("slit-not-cut", Severity.ERROR, _slits(evidence)),
    )
    return tuple(finding for name, severity, hits in kinds for finding in as_findings(name, severity, hits))


def _name(kept: Kept, contour: int) -> str:
    """Return what to call a contour: its kind, and its diameter where it is round."""
    box = kept.contours[contour].path.bounds()
    kind = "outline" if kept.depth[contour] % 2 == 0 else "hole"
    return f"{kind} of {box[2] - box[0]:.4g} x {box[3] - box[1]:.4g} mm"


def _place(kept: Kept, contour: int) -> tuple[float, float]:
    x, y = kept.contours[contour].path.start
    return float(x), float(y)


def _missing(kept: Kept, found: Match) -> Iterator[Hit]:
    for contour in np.flatnonzero(~found.near).tolist():
        yield Hit(
            f"the {_name(kept, contour)} is not cut",
            "cut it, or leave it out of the job on purpose",
            at=_place(kept, contour),
        )


def _wrong_side(evidence: Evidence, kept: Kept, found: Match) -> Iterator[Hit]:
    for contour in np.flatnonzero(found.wrong >= 0).tolist():
        run = evidence.runs[int(evidence.path.ring_run[found.wrong[contour]])]
        yield Hit(
            f"the {_name(kept, contour)} is cut on the side to keep: it comes out a whole kerf wrong",
            "put the path on the scrap side",
            run.light_line,
            run.start,
        )


def _surplus_rings(path: TorchPath, swept: Sweep, found: Match) -> Ints:
    """Return the closed cuts wholly inside kept metal that no contour asks for."""
    wanted = np.isin(np.arange(len(path.rings)), np.concatenate([found.ring, found.wrong]))
    out = [
        ring
        for ring, (first, stop) in enumerate(zip(path.ring_first, path.ring_stop, strict=True))
        if not wanted[ring] and swept.within[first:stop].all()
    ]
    return np.array(out, dtype=np.int64)


def _surplus(evidence: Evidence, swept: Sweep, found: Match) -> Iterator[Hit]:
    """Tell closed cuts inside kept metal, and closed cuts in scrap, that no contour asks for."""
    path = evidence.path
    inside = _surplus_rings(path, swept, found)
    for ring in inside.tolist():
        run = evidence.runs[int(path.ring_run[ring])]
        yield Hit("a closed cut inside metal to keep that is not drawn", "take it out", run.light_line, run.start)
    others = np.setdiff1d(np.arange(len(path.rings)), np.concatenate([inside, found.ring, found.wrong]))
    for ring in others.tolist():
        stretch = slice(int(path.ring_first[ring]), int(path.ring_stop[ring]))
        if swept.depth[stretch].max() <= 0 and not swept.on_slit[stretch].any():
            run = evidence.runs[int(path.ring_run[ring])]
            advice = "nothing to do if it is meant"
            yield Hit("a closed cut in scrap that is not drawn", advice, run.light_line, run.start, Severity.NOTE)


def _not_free(kept: Kept, found: Match) -> Iterator[Hit]:
    for contour in np.flatnonzero(found.near & (found.ring < 0) & (found.wrong < 0)).tolist():
        piece = "part" if kept.depth[contour] % 2 == 0 else "slug"
        yield Hit(
            f"the {_name(kept, contour)} is cut in places, but no closed cut lets the {piece} go",
            "close the cut, or expect to finish it by hand",
            at=_place(kept, contour),
        )


def _gouges(evidence: Evidence, swept: Sweep, found: Match, measured: _Measured, lead: Bools) -> Iterator[Hit]:
    path = evidence.path
    depth = np.where(lead, -np.inf, measured.depth)
    worst, where = _worst(depth, swept.contour, len(found.ring))
    for contour in np.flatnonzero((worst > DEVIATION_SEEN) & (found.wrong < 0)).tolist():
        segment = where[contour]
        x, y = path.segments.points(np.array([segment]), np.array([0.5]))[0]
        size = float(worst[contour])
        yield Hit(
            f"the kerf reaches {_size(size)} into metal to keep",
            "move the path away from the drawn edge, or check the kerf it was made for",
            evidence.line(int(path.segments.index[segment])),
            (float(x), float(y)),
            Severity.ERROR if size > DEVIATION_ERROR else Severity.WARNING,
        )


def _leftovers(evidence: Evidence, edges: Edges, found: Match, measured: _Measured) -> Iterator[Hit]:
    told = found.near & (found.wrong < 0) & (measured.left > DEVIATION_SEEN + measured.fit)
    for contour in np.flatnonzero(told).tolist():
        sample = measured.left_at[contour]
        size = float(measured.left[contour])
        segment = int(edges.torch[sample])
        x, y = edges.points[sample]
        how_much = "uncut metal" if size >= _most(evidence.path) else f"{_size(size)} of metal"
        yield Hit(
            f"{how_much} is left on the drawn edge",
            "move the path to the drawn edge, or check the kerf it was made for",
            evidence.line(int(evidence.path.segments.index[segment])) if segment >= 0 else None,
            (float(x), float(y)),
            Severity.ERROR if size > DEVIATION_ERROR else Severity.WARNING,
        )


def _unreached(evidence: Evidence, kept: Kept, measured: _Measured) -> Iterator[Hit]:
    for contour in np.flatnonzero(measured.unreached > 4 * evidence.half_kerf).tolist():
        yield Hit(
            f"a notch or corner of the {_name(kept, contour)} is too narrow for the kerf: "
            f"{_size(float(measured.unreached[contour]))} stays uncut",
            "saw or file it, or widen it in the drawing",
            at=_place(kept, contour),
        )


def _slits(evidence: Evidence) -> Iterator[Hit]:
    """Tell slits that the torch does not follow; their last kerf at both ends is not judged."""
    slits = evidence.slits
    if slits is None:
        return
    torch = evidence.path.segments
    for number in range(int(slits.owner.max()) + 1):
        points = _along(slits.take(slits.owner == number), 2 * evidence.half_kerf)
        away, _ = nearest(points, torch, ON_SLIT)
        missed = np.flatnonzero(~np.isfinite(away))
        if len(missed):
            x, y = points[missed[0]]
            yield Hit("a slit is not cut here", "cut it on its line", at=(float(x), float(y)))


def _along(s: Segments, margin: float) -> Floats:
    """Return points every half millimetre along one open path, `margin` left out at both ends."""
    lengths = s.lengths()
    total = float(lengths.sum())
    places = np.linspace(min(margin, total / 2), max(total - margin, total / 2), max(2, int(total / 0.5)))
    ends = np.cumsum(lengths)
    which = np.minimum(np.searchsorted(ends, places), len(s) - 1)
    share = np.clip((places - (ends - lengths)[which]) / lengths[which], 0.0, 1.0)
    return s.points(which, share)


def _size(mm: float) -> str:
    return f"{mm * 1000:.0f} um" if mm < 0.1 else f"{mm:.2f} mm"
