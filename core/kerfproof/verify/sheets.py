"""Each sheet of a program compared with the drawing by itself, so that none is proven by what is cut on another.

A drawn part may be cut on any sheet, and on some of them only, but wherever any of it is cut it must be cut whole.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from kerfproof.errors import Finding, Watch
from kerfproof.geom.path import Bools, Ints
from kerfproof.geom.region import containers
from kerfproof.motion.trace import Trace
from kerfproof.parts.contour import Contour
from kerfproof.verify.compare import Comparison, compare
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.kept import Kept
from kerfproof.verify.plates import alone

NEAR = 0.2
"""A torch path this much (mm) beyond half a kerf from a drawn edge is taken to cut it."""

Gathered = Callable[[Trace, tuple[Contour, ...], tuple[Contour, ...]], Evidence]


def each_sheet(
    whole: Comparison,
    evidence: Evidence,
    drawn: tuple[Contour, ...],
    slits: tuple[Contour, ...],
    gathered: Gathered,
    watch: Watch,
) -> Comparison:
    """Return the comparison of all sheets of a program: `whole` with the findings and the figures of each.

    `gathered` returns the evidence of a trace against contours and slits.
    """
    sheet_of = evidence.stock.plate_of
    alike = [alone(evidence.trace, evidence.runs, sheet_of == sheet) for sheet in range(evidence.stock.plates)]
    first = [gathered(trace, drawn, slits) for trace in alike]
    kept = first[0].kept
    if kept is None:
        return whole
    part = _parts(kept)
    begun = [np.isin(part, part[_met(one)]) for one in first]
    begun[0] |= ~np.any(begun, axis=0)  # what no sheet begins is told of the first
    home = _homes(kept, part, slits)
    findings: list[Finding] = []
    made: list[Comparison] = []
    for number, (trace, one, mine) in enumerate(zip(alike, first, begun, strict=True), 1):
        if not mine.all():
            here = tuple(c for c, is_mine in zip(drawn, mine.tolist(), strict=True) if is_mine)
            lines = tuple(s for s, at in zip(slits, home.tolist(), strict=True) if at < 0 or mine[part == at].any())
            one = gathered(trace, here, lines)
        if one.kept is None or one.swept is None:
            continue
        compared = compare(one, one.kept, one.swept, watch)
        made.append(compared)
        findings += [replace(f, message=f"sheet {number}: {f.message}") for f in compared.findings]
    return replace(
        whole,
        findings=tuple(findings),
        worst_gouge=max(one.worst_gouge for one in made),
        worst_leftover=max(one.worst_leftover for one in made),
        edge_deviation=max(one.edge_deviation for one in made),
        unseen=max(one.unseen for one in made),
    )


def _parts(kept: Kept) -> Ints:
    """Return of each contour the outline of its part (n,)."""
    return np.where(kept.is_outline(), np.arange(len(kept.contours)), kept.parent)


def _met(evidence: Evidence) -> Ints:
    """Return the contours that the torch comes to, or inside whose metal it cuts."""
    kept, swept, half = evidence.kept, evidence.swept, evidence.path.half_kerf
    if kept is None or swept is None:
        return np.empty(0, dtype=np.int64)
    near: Bools = swept.distance <= half[swept.torch] + NEAR
    owners = kept.edges.owner[swept.edge[near]]
    inside = swept.contour[swept.within & (swept.contour >= 0)]
    return np.unique(np.concatenate([owners, inside]))


def _homes(kept: Kept, part: Ints, slits: tuple[Contour, ...]) -> Ints:
    """Return of each slit the outline of the part that it lies on, -1 where it lies on none."""
    out = np.full(len(slits), -1, dtype=np.int64)
    if slits:
        points = np.array([slit.path.start for slit in slits])
        point, contour = containers(kept.bundle, points)
        order = np.argsort(kept.depth[contour], kind="stable")  # the innermost is written last
        out[point[order]] = part[contour[order]]
    return out
