"""Contours known again by a place on them, their area and their length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Floats, Path
from kerfproof.parts.model.contour import Contour, Role

REACH = 0.5
"""A place belongs to a contour within this distance (mm)."""
ALIKE = 0.01
"""Area and length may differ by this share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A person's rule on one contour: the one at `x`, `y` (mm) gets `role`; `area` and `length` as in `nearest`."""

    role: Role
    x: float
    y: float
    area: float | None = None
    length: float | None = None


def nearest(
    paths: Sequence[Path], x: float, y: float, *, area: float | None = None, length: float | None = None
) -> int | None:
    """Return the number of the path within `REACH` of a place, None if none is.

    Where `area` (mm2) or `length` (mm) are given, those of the path must agree within 1 %.
    """
    best, least = None, REACH
    point = np.array([x, y])
    for number, path in enumerate(paths):
        low, high = path.bounds()[:2], path.bounds()[2:]
        if np.hypot(*(point - np.clip(point, low, high))) > least:
            continue
        like = all(
            wanted is None or abs(wanted - value) <= ALIKE * abs(value)
            for wanted, value in ((area, abs(path.area())), (length, path.length()))
        )
        if not like:
            continue
        chords = path.flattened(0.05)
        after = np.roll(chords, -1, axis=0) if path.closed else chords[1:]
        before = chords if path.closed else chords[:-1]
        away = _chord_distance(before, after, point)
        if away < least:
            best, least = number, away
    return best


def _chord_distance(a: Floats, b: Floats, point: Floats) -> float:
    u = b - a
    share = np.clip(((point - a) * u).sum(axis=1) / np.maximum((u * u).sum(axis=1), 1e-18), 0, 1)
    return float(np.hypot(*(a + u * share[:, None] - point).T).min())


def with_roles(
    closed: Sequence[Contour], opened: Sequence[Contour], spots: Sequence[Spot]
) -> tuple[list[Contour], list[Contour], list[Finding]]:
    """Return the contours with the roles that single ones were given, and a warning for each that is lost."""
    if not spots:
        return list(closed), list(opened), []
    contours = [*closed, *opened]
    paths = [c.path for c in contours]
    lost = []
    for spot in spots:
        number = nearest(paths, spot.x, spot.y, area=spot.area, length=spot.length)
        if number is not None:
            contours[number] = replace(contours[number], role=spot.role)
            continue
        message = (
            f"no contour lies at the place that was chosen to be {spot.role.value}, or not one of that size any more"
        )
        advice = "choose it again; it is treated by the usual rules"
        lost.append(Finding("role-lost", Severity.WARNING, message, advice, x=spot.x, y=spot.y))
    return contours[: len(closed)], contours[len(closed) :], lost
