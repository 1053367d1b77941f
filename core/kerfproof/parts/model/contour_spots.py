"""Contours known again by a place on them, their area and their length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.distance import point_distances
from kerfproof.geom.path import Bundle, Floats, Path
from kerfproof.geom.region import path_boxes
from kerfproof.parts.model.contour import Contour, Role

REACH = 0.5
"""A place belongs to a contour within this distance (mm)."""
ALIKE = 0.01
"""Area and length may differ by this share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A person's rule on one contour: the one at `x`, `y` (mm) of that `area` and `length`, if given, gets `role`."""

    role: Role
    x: float
    y: float
    area: float | None = None
    length: float | None = None


class PathsByPlace:
    """Finds those of many paths that pass a place."""

    __slots__ = ("_boxes", "_paths")

    def __init__(self, paths: Sequence[Path]) -> None:
        self._paths = paths
        self._boxes: Floats | None = None

    def nearest(
        self, at: tuple[float, float], reach: float = REACH, *, area: float | None = None, length: float | None = None
    ) -> int | None:
        """Return the number of the path that passes nearest to a place, None if none does within `reach` (mm).

        Where `area` (mm2) or `length` (mm) are given, those of the path must agree within 1 %.
        """
        if self._boxes is None:
            self._boxes = path_boxes(Bundle.of(self._paths))
        inside = ((self._boxes[:, :2] - reach <= at) & (self._boxes[:, 2:] + reach >= at)).all(axis=1)
        best, least = None, reach
        for number in np.flatnonzero(inside).tolist():
            path = self._paths[number]
            s = path.segments()
            away = float(point_distances(np.broadcast_to(np.array(at), (len(s), 2)), s, np.arange(len(s))).min())
            if away < least and _alike(path, area, length):
                best, least = number, away
        return best


def _alike(path: Path, area: float | None, length: float | None) -> bool:
    return all(
        wanted is None or abs(wanted - value) <= ALIKE * abs(value)
        for wanted, value in ((area, abs(path.area())), (length, path.length()))
    )


def with_roles(
    closed: Sequence[Contour], opened: Sequence[Contour], spots: Sequence[Spot]
) -> tuple[list[Contour], list[Contour], list[Finding]]:
    """Return the contours with the roles that single ones were given, and a warning for each that is lost."""
    if not spots:
        return list(closed), list(opened), []
    contours = [*closed, *opened]
    paths = PathsByPlace([c.path for c in contours])
    lost = []
    for spot in spots:
        number = paths.nearest((spot.x, spot.y), area=spot.area, length=spot.length)
        if number is not None:
            contours[number] = replace(contours[number], role=spot.role)
            continue
        message = (
            f"no contour lies at the place that was chosen to be {spot.role.value}, or not one of that size any more"
        )
        advice = "choose it again; it is treated by the usual rules"
        lost.append(Finding("role-lost", Severity.WARNING, message, advice, x=spot.x, y=spot.y))
    return contours[: len(closed)], contours[len(closed) :], lost
