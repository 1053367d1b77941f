"""Contours that cross or touch themselves or each other: kerf compensation on them means nothing."""

from __future__ import annotations

from collections.abc import Sequence

from kerfproof.errors import Finding, Severity
from kerfproof.geom.crossing import CROSS, crossings
from kerfproof.geom.path import Bundle
from kerfproof.parts.contour import Contour

TOUCH = 1e-4
"""Contours nearer than this (mm) touch."""
MANY = 20


def crossing_findings(closed: Sequence[Contour]) -> tuple[set[int], list[Finding]]:
    """Return the numbers of contours that can't be used, and a finding for each pair that meets."""
    if not closed:
        return set(), []
    segments = Bundle.of([c.path for c in closed]).segments()
    found = crossings(segments, tolerance=TOUCH)
    bad: set[int] = set()
    findings: dict[tuple[int, int], Finding] = {}
    for i, j, (x, y), kind in zip(found.i.tolist(), found.j.tolist(), found.at.tolist(), found.kind, strict=True):
        a, b = sorted((int(segments.owner[i]), int(segments.owner[j])))
        bad.update((a, b))
        if (a, b) not in findings or (kind == CROSS and "cross" not in findings[a, b].message):
            findings[a, b] = _finding(closed[a], closed[b], a == b, "cross" if kind == CROSS else "touch", x, y)
    told = list(findings.values())
    if len(told) > MANY:
        told = [*told[:MANY], Finding("contours-cross", Severity.ERROR, f"{len(told) - MANY} more contours that meet")]
    return bad, told


def _finding(a: Contour, b: Contour, same: bool, how: str, x: float, y: float) -> Finding:
    handles = "/".join(dict.fromkeys((*a.handles[:2], *b.handles[:2])))
    if same:
        what = f"a contour {'crosses' if how == 'cross' else 'touches'} itself, so inside and outside are not defined"
        return Finding(
            "self-crossing", Severity.ERROR, what, "redraw it so that it does not meet itself", x=x, y=y, handle=handles
        )
    return Finding(
        "contours-cross",
        Severity.ERROR,
        f"two contours {how} each other, so the kerf between them is not defined",
        "move them apart, unite them in the drawing, or put one on an ignored layer",
        x=x,
        y=y,
        handle=handles,
    )
