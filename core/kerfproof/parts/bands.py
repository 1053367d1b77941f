"""Parts that are only bands: a line exported as the two edges of its pen stroke."""

from __future__ import annotations

from collections.abc import Sequence

from kerfproof.errors import Finding, Severity
from kerfproof.parts.part import Part

PEN = 0.6
"""A part nowhere wider than this (mm) on average is a pen stroke, not metal to keep (common practice, no source)."""


def band_findings(parts: Sequence[Part]) -> list[Finding]:
    """Return one error for all parts that are a band as wide as a pen round one large hole."""
    bands = [(part, width) for part in parts if (width := _width(part)) is not None and width <= PEN]
    if not bands:
        return []
    part, width = bands[0]
    x, y = part.outline.contour.path.start.tolist()
    count = "the outline is a band" if len(bands) == 1 else f"{len(bands)} outlines are bands"
    what = f"{count} only {width:.2f} mm wide: lines seem to have been exported as the two edges of their pen stroke"
    advice = "export single lines (no line width), or delete one of the two edges"
    handle = "/".join(part.outline.contour.handles[:2])
    return [Finding("outline-is-band", Severity.ERROR, what, advice, x=x, y=y, handle=handle)]


def _width(part: Part) -> float | None:
    """Return the mean width (mm) of a part between its outline and its largest hole, None without holes."""
    if not part.holes:
        return None
    outline = part.outline.contour.path
    hole = max((h.contour.path for h in part.holes), key=lambda path: abs(path.area()))
    return 2 * (abs(outline.area()) - abs(hole.area())) / (outline.length() + hole.length())
