"""Contours drawn so close that the cut of one burns the metal of the other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.closest import pair_distances, point_distances
from kerfproof.geom.index import box_pairs
from kerfproof.geom.path import Bundle
from kerfproof.geom.region import path_boxes
from kerfproof.parts.model.part import Feature, FeatureKind
from kerfproof.sentence import mm, named, say

ENOUGH = 1e-3
"""A gap this much (mm) narrower than the kerf is as good as one of its width."""


def closeness_findings(features: Sequence[Feature], kerf: float) -> list[Finding]:
    """Return an error for each two outlines, or outline and hole round it, with less than a kerf (mm) between."""
    closed = [f for f in features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE)]
    if not closed:
        return []
    boxes = path_boxes(Bundle.of([f.contour.path for f in closed]))
    found = []
    for i, j in zip(*(a.tolist() for a in box_pairs(boxes, boxes, kerf)), strict=True):
        if i < j and _share_scrap(closed[i], closed[j]):
            found += _finding(closed[i], closed[j], kerf)
    return found


def _share_scrap(a: Feature, b: Feature) -> bool:
    """Return whether only scrap lies between two contours: two parts side by side, or a part in its hole."""
    if a.kind is FeatureKind.HOLE:
        a, b = b, a
    if a.kind is FeatureKind.HOLE:
        return False
    return a.parent == (b.number if b.kind is FeatureKind.HOLE else b.parent)


def _finding(a: Feature, b: Feature, kerf: float) -> list[Finding]:
    s, t = a.contour.path.segments(), b.contour.path.segments()
    i, j = box_pairs(s.boxes(), t.boxes(), kerf)
    away = pair_distances(s, i, t, j)
    if not len(away) or away.min() >= kerf - ENOUGH:
        return []
    middles = s.points(i, np.full(len(i), 0.5))
    # Of equally near edges those that run side by side.
    nearest = int(np.lexsort((point_distances(middles, t, j), np.round(away, 4)))[0])
    x, y = middles[nearest].tolist()
    what = say(
        "{label} and {label2} lie {away} apart, less than the kerf of {kerf}: ",
        label=named(a.label),
        label2=named(b.label),
        away=mm(away[nearest], ".2f"),
        kerf=mm(kerf, "g"),
    )
    advice = say(
        "leave more than {kerf} between them; if the contour was drawn twice, delete one of the two",
        kerf=mm(2 * kerf, "g"),
    )
    handle = "/".join((*a.contour.handles[:1], *b.contour.handles[:1]))
    what += "the cut of one burns the other"
    return [Finding("too-close", Severity.ERROR, what, advice, x=x, y=y, handle=handle)]
