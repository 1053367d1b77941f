"""Contours as near to each other as a pen is wide: strokes exported as their two edges, contours drawn twice."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle
from kerfproof.geom.region import path_areas
from kerfproof.parts.model.part import Feature, Part
from kerfproof.sentence import mm, say

PEN = 0.6
"""A part nowhere wider than this (mm) on average is a pen stroke, not metal to keep (common practice, no source)."""
SLIGHT = 0.05
"""A gap up to this share of a contour's smaller side is hardly seen in the drawing."""


def band_findings(parts: Sequence[Part]) -> list[Finding]:
    """Return one error for all parts that are a band as wide as a pen round one large hole."""
    holed = [part for part in parts if part.holes]
    bands = [(part, width) for part, width in zip(holed, _widths(holed), strict=True) if width <= PEN]
    if not bands:
        return []
    part, width = bands[0]
    x, y = part.outline.contour.path.start.tolist()
    count = "the outline is a band" if len(bands) == 1 else f"{len(bands)} outlines are bands"
    what = say(
        "{count} only {width} wide: lines seem to have been exported as the two edges of their pen stroke",
        count=count,
        width=mm(width, ".2f"),
    )
    advice = "export single lines (no line width), or delete one of the two edges"
    handle = "/".join(part.outline.contour.handles[:2])
    return [Finding("outline-is-band", Severity.ERROR, what, advice, x=x, y=y, handle=handle)]


def doubled_findings(parts: Sequence[Part]) -> list[Finding]:
    """Return one error for all parts that fill the hole they lie in but for a gap as wide as a pen.

    In holes so small that this gap is a share of them there are letters rather than contours drawn twice.
    """
    holes = {hole.number: hole for part in parts for hole in part.holes}
    islands = [part for part in parts if part.inside in holes]
    pairs = [(holes[part.inside], part.outline) for part in islands if part.inside is not None]
    widths = zip(pairs, _between(pairs), strict=True)
    doubled = [(pair, width) for pair, width in widths if width <= min(PEN, SLIGHT * _least_side(pair[0]))]
    if not doubled:
        return []
    (hole, outline), width = doubled[0]
    x, y = outline.contour.path.start.tolist()
    count = "a part fills its hole" if len(doubled) == 1 else f"{len(doubled)} parts fill their holes"
    what = say(
        "{count} but for a gap of {width}: the contour seems to have been drawn twice",
        count=count,
        width=mm(width, ".2f"),
    )
    handle = "/".join((*hole.contour.handles[:1], *outline.contour.handles[:1]))
    return [Finding("drawn-twice", Severity.ERROR, what, "delete one of the two", x=x, y=y, handle=handle)]


def _least_side(feature: Feature) -> float:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return min(x1 - x0, y1 - y0)


def _between(pairs: Sequence[tuple[Feature, Feature]]) -> list[float]:
    """Return the mean distance (mm) between each contour and the one in it."""
    if not pairs:
        return []
    paths = Bundle.of([f.contour.path for pair in pairs for f in pair])
    areas = np.abs(path_areas(paths)).reshape(-1, 2)
    s = paths.segments()
    lengths = np.bincount(s.owner, s.lengths(), minlength=len(paths)).reshape(-1, 2)
    return (2 * (areas[:, 0] - areas[:, 1]) / lengths.sum(axis=1)).tolist()  # type: ignore[no-any-return]


def _widths(parts: Sequence[Part]) -> list[float]:
    """Return the mean width (mm) of each part, which has holes, between its outline and its largest hole."""
    if not parts:
        return []
    areas = np.abs(path_areas(Bundle.of([hole.contour.path for part in parts for hole in part.holes])))
    pairs, first = [], 0
    for part in parts:
        largest = int(np.argmax(areas[first : first + len(part.holes)]))
        pairs.append((part.outline, part.holes[largest]))
        first += len(part.holes)
    return _between(pairs)
