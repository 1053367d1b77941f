"""Parts that are only bands: a line exported as the two edges of its pen stroke."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle
from kerfproof.geom.region import path_areas
from kerfproof.parts.part import Part

PEN = 0.6
"""A part nowhere wider than this (mm) on average is a pen stroke, not metal to keep (common practice, no source)."""


def band_findings(parts: Sequence[Part]) -> list[Finding]:
    """Return one error for all parts that are a band as wide as a pen round one large hole."""
    holed = [part for part in parts if part.holes]
    bands = [(part, width) for part, width in zip(holed, _widths(holed), strict=True) if width <= PEN]
    if not bands:
        return []
    part, width = bands[0]
    x, y = part.outline.contour.path.start.tolist()
    count = "the outline is a band" if len(bands) == 1 else f"{len(bands)} outlines are bands"
    what = f"{count} only {width:.2f} mm wide: lines seem to have been exported as the two edges of their pen stroke"
    advice = "export single lines (no line width), or delete one of the two edges"
    handle = "/".join(part.outline.contour.handles[:2])
    return [Finding("outline-is-band", Severity.ERROR, what, advice, x=x, y=y, handle=handle)]


def _widths(parts: Sequence[Part]) -> list[float]:
    """Return the mean width (mm) of each part, which has holes, between its outline and its largest hole."""
    if not parts:
        return []
    paths = Bundle.of([f.contour.path for part in parts for f in (part.outline, *part.holes)])
    areas = np.abs(path_areas(paths))
    s = paths.segments()
    lengths = np.bincount(s.owner, s.lengths(), minlength=len(paths))
    out, first = [], 0
    for part in parts:
        hole = first + 1 + int(np.argmax(areas[first + 1 : first + 1 + len(part.holes)]))
        out.append(float(2 * (areas[first] - areas[hole]) / (lengths[first] + lengths[hole])))
        first += 1 + len(part.holes)
    return out
