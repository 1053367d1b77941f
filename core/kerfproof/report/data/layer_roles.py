"""What becomes of each layer of a drawing, and which of its lines are shown but not cut."""

from __future__ import annotations

from collections import Counter

from kerfproof.drawing.drawing import Drawing
from kerfproof.parts.model.contour import Contours, Role
from kerfproof.parts.model.part import Parts

WORDS = {Role.SLIT: "slit", Role.MARK: "mark", Role.IGNORE: "ignored"}


def roles_by_layer(contours: Contours) -> dict[str, tuple[Role, ...]]:
    """Return the roles of what was drawn on each layer, in the order of `Role`; layers with points alone have none."""
    found: dict[str, set[Role]] = {}
    for contour in (*contours.closed, *contours.open, *contours.refused):
        found.setdefault(contour.layer, set()).add(contour.role)
    for contour in contours.aside:
        found.setdefault(contour.layer, set()).add(Role.IGNORE)
    return {layer: tuple(role for role in Role if role in roles) for layer, roles in sorted(found.items())}


def layers_line(drawing: Drawing, contours: Contours) -> str:
    """Return the layers with how many entities each has, and what is done with those that are not all cut."""
    counts = Counter(e.layer for e in drawing.entities)
    counts.update(s.layer for s in drawing.skipped if s.layer)
    roles = roles_by_layer(contours)
    told = []
    for layer, count in sorted(counts.items()):
        what = " and ".join(WORDS.get(role, role.value) for role in roles.get(layer, ()))
        told.append(f"{layer} ({count}{f', {what}' if what not in ('', Role.CUT) else ''})")
    return ", ".join(told) or "none"


def marks_by_layer(parts: Parts) -> dict[str, int]:
    """Return how many marks there are on each layer."""
    return dict(sorted(Counter(f.contour.layer for part in parts.parts for f in part.marks).items()))


def marks_line(parts: Parts) -> str:
    """Return the marks by layer, empty if there are none."""
    counts = marks_by_layer(parts)
    told = ", ".join(f"{count} on {layer}" for layer, count in counts.items())
    return f"{sum(counts.values())}, shown, not cut: {told}" if counts else ""
