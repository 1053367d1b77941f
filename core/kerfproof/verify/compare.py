"""What is left of the plate against the drawing: gouge, leftover, what comes free, what is missing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.verify.align import misplacement
from kerfproof.verify.edges import Edges, finished_edges
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.kept import Kept
from kerfproof.verify.match import Match, match
from kerfproof.verify.measure import Measured, measure, most_left
from kerfproof.verify.misfits import misfits
from kerfproof.verify.proof import EdgeSamples, PartProof
from kerfproof.verify.rule import as_findings
from kerfproof.verify.runs import TorchPath
from kerfproof.verify.sweep import Sweep

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


def compare(evidence: Evidence, kept: Kept, swept: Sweep) -> Comparison:
    """Return what the torch-on motion of a program does to the drawn contours."""
    path = evidence.path
    edges = finished_edges(kept, path, swept)
    found = match(kept, path, swept, edges)
    measured = measure(kept, path, swept, edges, found)
    astray = (found.ring < 0) | (measured.gouge > ASTRAY) | (measured.left > ASTRAY)
    placed = misplacement(kept, path) if astray.mean() >= 0.5 else None
    if placed is not None:
        findings = as_findings(placed[0], Severity.ERROR, [placed[1]])
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
    )


def _samples(kept: Kept, path: TorchPath, edges: Edges) -> EdgeSamples:
    """Return the deviation along the drawn edges for the picture, in order of contour and place."""
    owner = kept.edges.owner[edges.edge]
    order = np.lexsort((edges.share, edges.edge))
    deviation = np.where(edges.fair, 0.0, np.minimum(edges.left, most_left(path)))
    return EdgeSamples(edges.points[order], owner[order], deviation[order])


def _parts(kept: Kept, found: Match, measured: Measured) -> tuple[PartProof, ...]:
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
