"""What to say of chains that do not close."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Floats
from kerfproof.parts.contour import Contour

NEARLY = 0.1
"""A chain whose ends lie nearer than this share of its length was meant to close."""
MANY = 20


def open_findings(opened: Sequence[Contour], closed: Sequence[Contour], tolerance: float) -> list[Finding]:
    """Return a finding for each open chain on a cut layer.

    It is an error where the chain was probably meant to be a contour (its ends nearly meet, other loose ends
    are near, or closed contours lie within its box, which would turn holes into parts), else a warning.
    """
    if not opened:
        return []
    ends = np.array([(*c.path.start, *c.path.end) for c in opened]).reshape(-1, 2)
    boxes = np.array([c.path.bounds() for c in closed]).reshape(-1, 4)
    findings = []
    for number, contour in enumerate(opened):
        gap = _nearest_end(ends, number)
        own = float(np.hypot(*(contour.path.end - contour.path.start)))
        length = contour.path.length()
        meant = own < NEARLY * length or (gap < NEARLY * length and gap < 2.0) or _holds_closed(contour, boxes)
        x, y = contour.path.start.tolist()
        x1, y1 = contour.path.end.tolist()
        findings.append(
            Finding(
                "open-chain",
                Severity.ERROR if meant else Severity.WARNING,
                f"a chain {length:.1f} mm long does not close: it ends at {x:.2f}, {y:.2f} and {x1:.2f}, {y1:.2f}"
                + (f", the nearest loose end is {min(gap, own):.3f} mm away" if min(gap, own) < 10 else ""),
                f"close the gap in the drawing or allow --join {min(gap, own) * 1.01:.2f}mm"
                if meant and tolerance < min(gap, own) < 2.0
                else "it is not cut; put it on an ignored layer, or close it if it belongs to a contour",
                x=x,
                y=y,
                handle="/".join(contour.handles[:3]),
            )
        )
    findings.sort(key=lambda f: f.severity is not Severity.ERROR)
    if len(findings) > MANY:
        rest = len(findings) - MANY
        worst = findings[MANY].severity
        findings = [*findings[:MANY], Finding("open-chain", worst, f"{rest} more chains that do not close")]
    return findings


def _nearest_end(ends: Floats, number: int) -> float:
    """Return how far the nearest loose end of another chain is from this chain's ends."""
    own = ends[2 * number : 2 * number + 2]
    others = np.delete(ends, [2 * number, 2 * number + 1], axis=0)
    if not len(others):
        return float("inf")
    gaps = np.hypot(*(others[:, None, :] - own[None, :, :]).transpose(2, 0, 1)).min(axis=1)
    return float(gaps.min())


def _holds_closed(contour: Contour, boxes: Floats) -> bool:
    x0, y0, x1, y1 = contour.path.bounds()
    if not len(boxes) or contour.path.n_segments < 2:
        return False
    inside = (boxes[:, 0] > x0) & (boxes[:, 1] > y0) & (boxes[:, 2] < x1) & (boxes[:, 3] < y1)
    return bool(inside.any())
