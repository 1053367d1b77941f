"""What a person's choices take out of a drawing: closed contours on or near the parts that nobody cuts.

Layers, a window, roles, page frames and drill marks can be chosen on a command line, in a window, or in the heading of
a program that somebody else wrote. Whoever chose, metal that is drawn and not cut is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, Severity
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import path_boxes
from kerfproof.parts.classify.roles import TEXT
from kerfproof.parts.join_contours import JoinSettings, join_contours, usually_cut
from kerfproof.parts.model.contour import Contour, Contours, Role
from kerfproof.parts.model.part import Feature, FeatureKind, Parts
from kerfproof.parts.model.round_hole import diameters_of
from kerfproof.sentence import Phrase, mm_size, say

RULE = "chosen-not-cut"
NEAR = 10.0
"""What lies this near (mm) to the box of a part lies near it."""
DRILLED = 13.0
"""Holes up to this (mm) are drilled in the shop: that is what a hand drill's chuck takes (common practice, no source).
A larger one that is only marked is told."""
ON = 0.05
"""An entity this near (mm) to a contour belongs to it."""


def taken_out(
    whole: Drawing, contours: Contours, parts: Parts, settings: JoinSettings, how: Sequence[str]
) -> list[Finding]:
    """Return a warning on closed contours of the `whole` drawing that choices leave uncut on or near the parts.

    `whole` is the drawing as it is read without choices of layers and window, `contours` and `parts` are what the
    choices make of it; `how` names the choices. What names of layers and line types leave out is told by itself.
    """
    if not parts.parts:
        return []
    cut = [f.contour for f in parts.features if _as_drawn(f)]
    told = [*(c for c in contours.open if c.role is Role.CUT), *contours.refused]
    plain = JoinSettings(tolerance=settings.tolerance, refit_tolerance=settings.refit_tolerance)
    usual = [e for e in usually_cut(whole, plain) if e.kind != TEXT]  # letters are cut only where that is chosen
    left = _apart(usual, [*cut, *told])
    if not left:
        return []
    joined = join_contours(replace(whole, entities=tuple(left)), plain)
    found = [c for c in (*joined.closed, *joined.refused) if c.role is Role.CUT and c.path.closed]
    found = _less_drilled(found, parts)
    near = _near([c.path for c in found], [part.outline.contour.path for part in parts.parts])
    return _told([c for c, is_near in zip(found, near, strict=True) if is_near], how)


def _less_drilled(found: Sequence[Contour], parts: Parts) -> list[Contour]:
    """Return contours without the holes that are marked for the drill and that a drill can make."""
    marked = {f.contour.handles for f in parts.features if f.contour.drill}
    if not found or not marked:
        return list(found)
    sizes = diameters_of(Bundle.of([c.path for c in found]))
    pairs = zip(found, sizes, strict=True)
    return [c for c, size in pairs if c.handles not in marked or size is None or size > DRILLED + 1e-6]


def _as_drawn(feature: Feature) -> bool:
    """Return whether a feature is cut as drawn: a closed one on its scrap side, an open one on its line."""
    if feature.kind is FeatureKind.SLIT:
        return not feature.contour.path.closed
    return feature.kind is not FeatureKind.MARK


def _apart(curves: list[Entity], contours: Sequence[Contour]) -> list[Entity]:
    """Return the curves that lie on none of the contours."""
    if not curves or not contours:
        return curves
    s = Bundle.of([e.path for e in curves if e.path is not None]).segments()
    points = s.points(np.arange(len(s)), np.full(len(s), 0.5))
    away, _ = nearest(points, Bundle.of([c.path for c in contours]).segments(), ON)
    off = np.bincount(s.owner, ~np.isfinite(away), minlength=len(curves)) > 0
    return [e for e, is_off in zip(curves, off.tolist(), strict=True) if is_off]


def _near(paths: Sequence[Path], outlines: Sequence[Path]) -> list[bool]:
    """Return which paths lie on or near one of the outlines, or round it, by their boxes."""
    if not paths:
        return []
    boxes, parts = path_boxes(Bundle.of(list(paths))), path_boxes(Bundle.of(list(outlines)))
    meets = (boxes[:, None, :2] <= parts[None, :, 2:] + NEAR) & (boxes[:, None, 2:] >= parts[None, :, :2] - NEAR)
    each: list[bool] = np.any(meets.all(axis=2), axis=1).tolist()
    return each


def _told(found: Sequence[Contour], how: Sequence[str]) -> list[Finding]:
    if not found:
        return []
    x0, y0, x1, y1 = found[0].path.bounds()
    count = "1 closed contour" if len(found) == 1 else f"{len(found)} closed contours"
    layer = f" on layer {found[0].layer}" if found[0].layer else ""
    first = f"it lies{layer} and measures" if len(found) == 1 else f"the first lies{layer} and measures"
    if not layer:
        first = "it measures" if len(found) == 1 else "the first measures"
    what: Phrase = f"{count} on or near the parts {'is' if len(found) == 1 else 'are'} drawn and not cut as drawn, "
    what += say(
        "because of the choice of {how}: {first} {size}",
        how=" and ".join(how),
        first=first,
        size=mm_size(x1 - x0, y1 - y0, ".2f"),
    )
    advice = "see that this is meant"
    handle = "/".join(found[0].handles[:3])
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    return [Finding(RULE, Severity.WARNING, what, advice, x=x, y=y, handle=handle, layer=found[0].layer)]
