"""Drill marks: points and small circles that the torch only marks, for the drill to find.

A mark must go with the hole that is drilled: a circle with no room for it stays a hole, which is left to the drill
without a mark; a point, of which nobody knows how wide it is drilled, gets a short pierce and never a cross.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Floats, Path
from kerfproof.geom.region import containers
from kerfproof.parts.classify.choices import DrillKind
from kerfproof.parts.model.contour import Contour, Role
from kerfproof.parts.model.round_hole import diameters_of
from kerfproof.sentence import mm_places, option, say

Point = tuple[float, float]

DIMPLE = 0.4
"""Length of a pierce mark (mm): as short as a cut can be."""
ARM, LONG_ARM = 2.0, 4.5
"""Length of the arms of a cross (mm), and of one in a hole with room for it: there the tip of the second stroke stands
on sound plate beside the kerf of the first."""
ROOM = 1.5
"""What a mark leaves to the wall of its hole, for half a kerf and what melts beside it (mm)."""
_WORDS = {DrillKind.PIERCE: "a short pierce", DrillKind.CROSS: "a small cross"}
SAME = 0.05
"""Marks nearer than this (mm) are one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillMarks:
    """What becomes of points, and of holes with a diameter up to `below` (mm)."""

    how: DrillKind = DrillKind.NONE
    below: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Drilled:
    """The contours left, the marks as slits, the points that stay only listed, and what to say."""

    closed: tuple[Contour, ...]
    marks: tuple[Contour, ...]
    points: tuple[Point, ...]
    findings: tuple[Finding, ...]


def drill_marks(closed: Sequence[Contour], points: Sequence[Point], settings: DrillMarks) -> Drilled:
    """Return closed contours and points with those made drill marks that `settings` picks."""
    if settings.how is DrillKind.NONE:
        return Drilled(tuple(closed), (), tuple(points), _listed(points))
    reach = ROOM + (ARM if settings.how is DrillKind.CROSS else DIMPLE / 2)
    small = _small_holes(closed, 2 * reach, settings.below)
    places: list[tuple[Point, DrillKind, float, tuple[str, ...], str]] = []
    holes = [closed[k] for k in sorted(small)]
    for point, how, arm, handles, layer in [
        *((_middle(hole.path), settings.how, _arm(hole.path), hole.handles, hole.layer) for hole in holes),
        *((point, DrillKind.PIERCE, 0.0, (), "") for point in points),
    ]:
        if all(np.hypot(point[0] - p[0], point[1] - p[1]) > SAME for p, *_ in places):
            places.append((point, how, arm, handles, layer))
    marks = tuple(
        Contour(path, handles, layer, Role.SLIT, drill=True)
        for point, how, arm, handles, layer in places
        for path in _strokes(point, how, arm)
    )
    found: tuple[Finding, ...] = ()
    if places:
        made = {how for _, how, *_ in places}
        words = " or ".join(word for how, word in _WORDS.items() if how in made)
        many = "1 place to drill is" if len(places) == 1 else f"{len(places)} places to drill are"
        message = f"{many} marked by {words}{' each' if len(places) > 1 else ''}"
        found = (Finding("drill-marks", Severity.NOTE, message, x=places[0][0][0], y=places[0][0][1]),)
    kept = tuple(c for k, c in enumerate(closed) if k not in small)
    return Drilled(kept, marks, (), found)


def _listed(points: Sequence[Point]) -> tuple[Finding, ...]:
    if not points:
        return ()
    what = "1 point is" if len(points) == 1 else f"{len(points)} points are"
    message = say(
        "{what} not cut: at {places}{more}",
        what=what,
        places=mm_places(*points[:2], between=" and "),
        more=" and elsewhere" if len(points) > 2 else "",
    )
    return (
        Finding(
            "points-listed",
            Severity.NOTE,
            message,
            say("mark them for the drill with {drill_marks} pierce", drill_marks=option("drill-marks")),
        ),
    )


def _small_holes(closed: Sequence[Contour], least: float, below: float) -> set[int]:
    """Return the numbers of round contours from `least` to `below` (mm) wide that lie in an odd number of others."""
    if below < least:
        return set()
    cut = [k for k, c in enumerate(closed) if c.role is Role.CUT]
    sizes = dict(zip(cut, diameters_of(Bundle.of([closed[k].path for k in cut])), strict=True))
    small = [k for k in cut if (size := sizes[k]) is not None and least - 1e-6 <= size <= below + 1e-6]
    if not small:
        return set()
    others = Bundle.of([closed[k].path for k in cut])
    around: Floats = np.array([_middle(closed[k].path) for k in small])
    point, _ = containers(others, around)
    depth = np.bincount(point, minlength=len(small)) - 1  # each lies in itself
    return {k for k, d in zip(small, depth.tolist(), strict=True) if d % 2}


def _middle(path: Path) -> Point:
    x0, y0, x1, y1 = path.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2


def _arm(hole: Path) -> float:
    x0, _, x1, _ = hole.bounds()
    return LONG_ARM if (x1 - x0) / 2 >= LONG_ARM + ROOM else ARM


def _strokes(at: Point, how: DrillKind, arm: float) -> list[Path]:
    x, y = at
    if how is DrillKind.PIERCE:
        return [Path.polyline([(x - DIMPLE / 2, y), (x + DIMPLE / 2, y)])]
    return [Path.polyline([(x - arm, y), (x + arm, y)]), Path.polyline([(x, y - arm), (x, y + arm)])]
