"""What a person picked of a drawing, by layers and by a window, and what to say where that picks wrong."""

from __future__ import annotations

from collections.abc import Sequence
from fnmatch import fnmatchcase

import numpy as np

from kerfproof.box import Box
from kerfproof.drawing.drawing import Entity, Skipped
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bools, Bundle

OUTSIDE = "it does not lie wholly inside the chosen window"
NOT_CHOSEN = "its layer was not chosen"
MOST_NAMES = 12
EDGE = 1e-6
"""What lies over the window's edge by no more than this (mm) lies inside."""


def is_chosen(layer: str, patterns: Sequence[str]) -> bool:
    """Return whether a layer matches one of the patterns in any case of letters; without patterns all do."""
    return not patterns or any(fnmatchcase(layer.casefold(), p.casefold()) for p in patterns)


def layer_findings(patterns: Sequence[str], layers: Sequence[str]) -> list[Finding]:
    """Return a warning for each pattern that no layer of the drawing matches."""
    return [
        Finding(
            "layer-missing", Severity.WARNING, f"Nothing lies on a layer {pattern}; {listed(layers)}.", "check its name"
        )
        for pattern in patterns
        if layers and not any(is_chosen(layer, (pattern,)) for layer in layers)
    ]


def listed(layers: Sequence[str]) -> str:
    """Return the layers of a drawing as words."""
    more = f" and {len(layers) - MOST_NAMES} more" if len(layers) > MOST_NAMES else ""
    return f"its layers are {', '.join(layers[:MOST_NAMES])}{more}"


def within(entities: Sequence[Entity], window: Box) -> tuple[list[Entity], list[Skipped], list[Finding]]:
    """Return what lies wholly inside the window, what does not, and a finding if a curve crosses its edge.

    That is an error where the crossing curve reaches round something inside: an outline cut off by the window would
    leave its holes as parts.
    """
    inside = [True] * len(entities)
    crossing: list[int] = []
    curves = [(i, e.path) for i, e in enumerate(entities) if e.path is not None]
    if curves:
        segments = Bundle.of([path for _, path in curves]).segments()
        box = segments.boxes()
        low, high = np.array(window[:2]), np.array(window[2:])
        kept = ((box[:, :2] >= low - EDGE) & (box[:, 2:] <= high + EDGE)).all(axis=1)
        meets = ((box[:, :2] < high) & (box[:, 2:] > low)).all(axis=1)
        out = np.unique(segments.owner[~kept])
        for owner in out.tolist():
            inside[curves[owner][0]] = False
        crossing = [curves[owner][0] for owner in np.intersect1d(out, segments.owner[meets]).tolist()]
    for i, e in enumerate(entities):
        if e.point is not None:
            inside[i] = window[0] <= e.point[0] <= window[2] and window[1] <= e.point[1] <= window[3]
    chosen = [e for e, k in zip(entities, inside, strict=True) if k]
    left = [Skipped(e.kind, e.layer, e.handle, OUTSIDE) for e, k in zip(entities, inside, strict=True) if not k]
    return chosen, left, _crossing([entities[i] for i in crossing], chosen)


def _crossing(crossing: Sequence[Entity], chosen: Sequence[Entity]) -> list[Finding]:
    if not crossing:
        return []
    boxes = np.array([e.path.bounds() for e in chosen if e.path is not None]).reshape(-1, 4)
    holding = [e for e in crossing if _holds(e, boxes).any()]
    first = (holding or crossing)[0]
    x, y = first.path.start.tolist() if first.path is not None else (None, None)
    count = "a curve crosses" if len(crossing) == 1 else f"{len(crossing)} curves cross"
    message = f"{count} the edge of the chosen window and {'is' if len(crossing) == 1 else 'are'} not cut"
    if holding:
        message += "; what lies inside such a curve would be cut as a part of its own"
    severity = Severity.ERROR if holding else Severity.WARNING
    return [Finding("window-crossed", severity, message, "choose a larger window", x=x, y=y, handle=first.handle)]


def _holds(entity: Entity, boxes: np.ndarray) -> Bools:
    x0, y0, x1, y1 = entity.path.bounds() if entity.path is not None else (0.0, 0.0, 0.0, 0.0)
    return np.asarray((boxes[:, 0] > x0) & (boxes[:, 1] > y0) & (boxes[:, 2] < x1) & (boxes[:, 3] < y1))
