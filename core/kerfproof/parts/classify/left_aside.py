"""What to say where the names of layers leave so much aside that the rest can't be what was meant."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

import numpy as np

from kerfproof.drawing.drawing import Entity
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import containers, nesting, path_areas, path_boxes
from kerfproof.parts.classify.paper_sizes import sheet_of
from kerfproof.parts.classify.roles import RolePattern, chosen_role, usual_role
from kerfproof.parts.model.contour import Contour, Role
from kerfproof.sentence import option, say

LITTLE = 0.5
"""Contours that fill less than this share of what lies round them are holes in it rather than a part of its own."""


def nothing_left(aside: Sequence[Entity]) -> list[Finding]:
    """Return the error that nothing is left to cut because of the layers and line types of all there is."""
    if not aside:
        return []
    count = "the only curve lies" if len(aside) == 1 else f"all {len(aside)} curves lie"
    layers = sorted({e.layer for e in aside})
    what = f"{count} on layers or in line types that are not cut ({', '.join(layers[:6])})"
    advice = say("give what is to be cut its role with {role} {layers}=cut", role=option("role"), layers=layers[0])
    return [Finding("nothing-left", Severity.ERROR, what, advice, layer=layers[0])]


def outline_findings(
    aside: Sequence[Entity],
    cuts: Sequence[Contour],
    rules: Sequence[RolePattern],
    loops: Callable[[Sequence[Entity]], list[Path]],
) -> list[Finding]:
    """Return an error for each layer ignored by its name alone with a contour round everything that is cut.

    If that contour is the outline, what is cut are its holes; where they hold others they are parts all the same.
    """
    by_layer: dict[str, list[Entity]] = defaultdict(list)
    for entity in aside:
        if chosen_role(entity, rules) is None and usual_role(entity.layer) is Role.IGNORE:
            by_layer[entity.layer].append(entity)
    if not by_layer or not cuts:
        return []
    kept = Bundle.of([c.path for c in cuts])
    boxes = path_boxes(kept)
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    found = []
    for layer, entities in sorted(by_layer.items()):
        around = path_boxes(Bundle.of([e.path for e in entities if e.path is not None]))
        if (around[:, :2].min(axis=0) < low).all() and (around[:, 2:].max(axis=0) > high).all():
            found += [_finding(layer, path) for path in loops(entities) if _holds_holes(path, kept)][:1]
    return found


def _holds_holes(path: Path, kept: Bundle) -> bool:
    """Return whether a closed path looks like the outline round all the kept ones."""
    if sheet_of(path.bounds()):
        return False
    paths = Bundle.of([path])
    starts = kept.segments()
    inside, _ = containers(paths, starts.p0)
    if len(inside) < len(starts) or nesting(kept)[0].any():
        return False
    return bool(np.abs(path_areas(kept)).sum() < LITTLE * abs(path.area()))


def _finding(layer: str, path: Path) -> Finding:
    what = f"a contour on layer {layer}, which is ignored by its name, lies round everything that is cut"
    advice = say(
        "say {role} {layer}=cut if it is the outline, {role} {layer}=ignore if it is not",
        role=option("role"),
        layer=layer,
    )
    x, y = path.start.tolist()
    return Finding("outline-ignored", Severity.ERROR, what, advice, x=x, y=y, layer=layer)
