"""Arcs as the language gives them: by centre or by radius, in any of the three planes (NISTIR 6556, 3.5.3)."""

from __future__ import annotations

import math

from kerfproof.gcode.reader.expression import Misread
from kerfproof.sentence import mm, mm_span, say

Point = tuple[float, float]
Place = tuple[float, float, float]

PLANE_AXES: dict[int, tuple[int, int, int]] = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}
"""The axes of each plane in the order first, second, third; seen from the positive third axis G3 turns left."""
SAME_PLACE = 1e-9
NOISE = 1e-9
CHORD_ERROR = 0.002
MOST_CHORDS = 2000


def center_by_radius(start: Point, end: Point, radius: float, clockwise: bool, tolerance: float) -> Point:
    """Return the centre of an arc given by its radius: below 180 degrees if positive, above if negative.

    Raises
    ------
    Misread
        If the ends coincide, the radius is nothing, or too small to span them.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    half = math.hypot(dx, dy) / 2
    if half < SAME_PLACE:
        raise Misread("an arc by radius can't end where it starts", "R")
    if radius == 0:
        raise Misread("the arc has no radius", "R")
    if half > abs(radius) + tolerance:
        raise Misread("the radius is too small to reach from start to end", "R")
    height = math.sqrt(max(radius * radius - half * half, 0.0))
    side = -1.0 if clockwise == (radius > 0) else 1.0
    share = side * height / (2 * half)
    return (start[0] + end[0]) / 2 - dy * share, (start[1] + end[1]) / 2 + dx * share


def check_radii(start: Point, end: Point, center: Point, tolerance: float) -> None:
    """Raise if start and end lie at different distances from the centre, or at none.

    Raises
    ------
    Misread
        With the two radii.
    """
    first = math.hypot(start[0] - center[0], start[1] - center[1])
    last = math.hypot(end[0] - center[0], end[1] - center[1])
    if first < SAME_PLACE or last < SAME_PLACE:
        raise Misread("the arc has no radius", "G")
    if abs(first - last) > tolerance + NOISE:
        raise Misread(
            say(
                "start and end radius of the arc differ by {off} ({radii})",
                off=mm(abs(first - last), ".4f"),
                radii=mm_span(first, last, ".4f", between=" and "),
            ),
            "G",
        )


def radii_agree(start: Point, end: Place, center: Point, tolerance: float) -> bool:
    """Return whether `check_radii` finds nothing wrong with an arc in the XY plane."""
    first = math.hypot(start[0] - center[0], start[1] - center[1])
    last = math.hypot(end[0] - center[0], end[1] - center[1])
    return abs(first - last) <= tolerance + NOISE and first >= SAME_PLACE and last >= SAME_PLACE


def sweep_of(start: Point, end: Point, center: Point, clockwise: bool) -> float:
    """Return the turn in radians, positive to the left; a full turn where start and end coincide."""
    if math.hypot(end[0] - start[0], end[1] - start[1]) < SAME_PLACE:
        return -math.tau if clockwise else math.tau
    turn = math.atan2(end[1] - center[1], end[0] - center[0]) - math.atan2(start[1] - center[1], start[0] - center[0])
    turn = (-turn if clockwise else turn) % math.tau or math.tau
    return -turn if clockwise else turn


def chords(start: Place, end: Place, center: Point, clockwise: bool, plane: int) -> list[Place]:
    """Return points after `start` up to `end` along an arc or helix of any plane, within 0.002 mm of it.

    `center` is given along the first and second axis of the plane.
    """
    a, b, c = PLANE_AXES[plane]
    first, last = (start[a], start[b]), (end[a], end[b])
    sweep = sweep_of(first, last, center, clockwise)
    radius = math.hypot(first[0] - center[0], first[1] - center[1])
    step = 2 * math.acos(max(1 - CHORD_ERROR / radius, 0.0)) if radius > CHORD_ERROR else math.pi / 2
    count = max(math.ceil(abs(sweep) / max(step, math.tau / MOST_CHORDS)), 1)
    angle = math.atan2(first[1] - center[1], first[0] - center[0])
    places = []
    for k in range(1, count):
        turned = angle + sweep * k / count
        place = [0.0, 0.0, 0.0]
        place[a] = center[0] + radius * math.cos(turned)
        place[b] = center[1] + radius * math.sin(turned)
        place[c] = start[c] + (end[c] - start[c]) * k / count
        places.append((place[0], place[1], place[2]))
    return [*places, end]
