"""The part that programs by others cut in tests: its drawing, and torch paths round it worked out by hand.

A way is a start and pieces: ``(end, None, 0)`` a line, ``(end, center, turn)`` an arc, `turn` 1 counter-clockwise.
The part is a plate of 120 x 80 mm with one corner cut off at 45 degrees, two round holes and a slot: no quarter turn
and no mirror image of it is the part itself. Nothing here comes from the project but the type of a drawn contour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour

XY = tuple[float, float]
Piece = tuple[XY, XY | None, int]

CORNERS: tuple[XY, ...] = ((0, 0), (0, 80), (90, 80), (120, 50), (120, 0))
"""The outline, clockwise."""
ROUND: tuple[tuple[XY, float], ...] = (((30.0, 26.0), 10.0), ((86.0, 24.0), 8.0))
SLOT: tuple[XY, XY, float] = ((40.0, 60.0), (66.0, 60.0), 6.0)
"""The middles of both ends, and half its width."""


def drawing() -> tuple[Contour, ...]:
    """Return the drawn contours, zero at the lower left corner."""
    (x0, y), (x1, _), r = SLOT
    slot = Path([(x0, y - r, 0.0), (x1, y - r, 1.0), (x1, y + r, 0.0), (x0, y + r, 1.0)], True)
    paths = [Path.polyline(list(CORNERS), closed=True), *(Path.circle(at, r) for at, r in ROUND), slot]
    return tuple(Contour(path, (str(k),), "0") for k, path in enumerate(paths))


@dataclass(frozen=True, slots=True)
class Way:
    """A closed torch path with its lead-in, over-burn and lead-out: `start` is the pierce."""

    kind: str
    start: XY
    pieces: tuple[Piece, ...]

    def moved(self, dx: float, dy: float) -> Way:
        """Return the way shifted."""
        return self._each(lambda p: (p[0] + dx, p[1] + dy))

    def turned(self, quarters: int) -> Way:
        """Return the way turned about zero by quarter turns, counter-clockwise."""
        c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]
        return self._each(lambda p: (c * p[0] - s * p[1], s * p[0] + c * p[1]))

    def _each(self, at) -> Way:  # type: ignore[no-untyped-def]
        pieces = tuple((at(end), None if center is None else at(center), turn) for end, center, turn in self.pieces)
        return Way(self.kind, at(self.start), pieces)


def outline(kerf: float, *, rolled: bool, arc_lead: bool, over: float, out: float) -> Way:
    """Return the way round the outline, half a kerf outside, clockwise, begun in the middle of the left side."""
    r = kerf / 2
    start = (-r, 40.0)
    ring: list[Piece] = []
    n = len(CORNERS)
    for k in range(1, n + 1):
        before, here, after = CORNERS[k - 1], CORNERS[k % n], CORNERS[(k + 1) % n]
        a, b = _outward(before, here), _outward(here, after)
        if rolled:
            ring.append(((here[0] + r * a[0], here[1] + r * a[1]), None, 0))
            ring.append(((here[0] + r * b[0], here[1] + r * b[1]), here, -1))
        else:
            share = r / (1 + a[0] * b[0] + a[1] * b[1])
            ring.append(((here[0] + share * (a[0] + b[0]), here[1] + share * (a[1] + b[1])), None, 0))
    ring.append((start, None, 0))
    end: list[Piece] = []
    if over:
        end.append(((-r, 40.0 + over), None, 0))
    if out:
        end.append(((-r - 0.3 * out, 40.0 + over + out), None, 0))
    if arc_lead:
        pierce: XY = (-r - 4.0, 36.0)
        lead: Piece = (start, (-r - 4.0, 40.0), 1)  # turned left, up to the side
        return Way("outline", pierce, (_quarter(pierce, lead), *ring, *end))
    return Way("outline", (-r - 5.0, 37.0), ((start, None, 0), *ring, *end))


def _quarter(pierce: XY, lead: Piece) -> Piece:
    """Return the lead, having looked that it is a quarter circle."""
    end, center, _ = lead
    assert center is not None
    assert math.isclose(math.dist(pierce, center), math.dist(end, center))
    return lead


def _outward(a: XY, b: XY) -> XY:
    """Return the unit vector away from the part on a side of the outline, which runs clockwise."""
    length = math.dist(a, b)
    return (-(b[1] - a[1]) / length, (b[0] - a[0]) / length)


def hole(number: int, kerf: float, *, arc_lead: bool, over: float, slip: float = 0.0) -> Way:
    """Return the way round a round hole, counter-clockwise, begun at its middle; `slip` moves it in X."""
    (cx, cy), radius = ROUND[number]
    cx, r = cx + slip, radius - kerf / 2
    rim: XY = (cx + r, cy)
    lead: Piece = (rim, (cx + r / 2, cy), 1) if arc_lead else (rim, None, 0)
    pieces: list[Piece] = [lead, (rim, (cx, cy), 1)]
    if over:
        pieces.append(((cx + r * math.cos(over / r), cy + r * math.sin(over / r)), (cx, cy), 1))
    return Way("hole", (cx, cy), tuple(pieces))


def slot(kerf: float, *, over: float) -> Way:
    """Return the way round the slot, counter-clockwise, begun at its middle."""
    (x0, y), (x1, _), half = SLOT
    r = half - kerf / 2
    middle = ((x0 + x1) / 2, y - r)
    pieces: list[Piece] = [
        (middle, None, 0), ((x1, y - r), None, 0), ((x1, y + r), (x1, y), 1), ((x0, y + r), None, 0),
        ((x0, y - r), (x0, y), 1), (middle, None, 0),
    ]  # fmt: skip
    if over:
        pieces.append(((middle[0] + over, middle[1]), None, 0))
    return Way("hole", ((x0 + x1) / 2, y), tuple(pieces))


def split(start: XY, piece: Piece, most: float) -> list[Piece]:
    """Return an arc cut into equal pieces of at most `most` radians; a line as it is."""
    end, center, turn = piece
    if center is None:
        return [piece]
    first = math.atan2(start[1] - center[1], start[0] - center[0])
    sweep = sweep_of(start, piece)
    count = max(1, math.ceil(abs(sweep) / most - 1e-9))
    r = math.dist(start, center)
    angles = [first + sweep * k / count for k in range(1, count)]
    points = [(center[0] + r * math.cos(a), center[1] + r * math.sin(a)) for a in angles]
    return [(at, center, turn) for at in (*points, end)]


def at_quadrants(start: XY, piece: Piece) -> list[Piece]:
    """Return an arc cut where it passes the axes through its centre."""
    end, center, turn = piece
    if center is None:
        return [piece]
    first, sweep, r = math.atan2(start[1] - center[1], start[0] - center[0]), sweep_of(start, piece), 0.0
    r = math.dist(start, center)
    cuts = sorted(
        (abs(k * math.pi / 2 - first), k * math.pi / 2)
        for k in range(-9, 10)
        if 1e-6 < (k * math.pi / 2 - first) * turn < abs(sweep) - 1e-6
    )
    points = [(center[0] + r * math.cos(a), center[1] + r * math.sin(a)) for _, a in cuts]
    return [(at, center, turn) for at in (*points, end)]


def chords(start: XY, piece: Piece, off: float = 0.003) -> list[Piece]:
    """Return an arc as chords that lie within `off` of it; a line as it is."""
    _, center, _ = piece
    if center is None:
        return [piece]
    r = math.dist(start, center)
    return [(end, None, 0) for end, _, _ in split(start, piece, math.sqrt(8 * off / r))]


def sweep_of(start: XY, piece: Piece) -> float:
    """Return the signed angle of an arc; a whole turn where it ends where it begins."""
    end, center, turn = piece
    assert center is not None
    a = math.atan2(start[1] - center[1], start[0] - center[0])
    b = math.atan2(end[1] - center[1], end[0] - center[0])
    angle = (b - a) * turn % (2 * math.pi)
    return turn * (angle if angle > 1e-9 and math.dist(start, end) > 1e-9 else 2 * math.pi)


def nearest_first(ways: Sequence[Way], at: XY) -> list[Way]:
    """Return ways in the order in which each next pierce is the nearest."""
    left, out = list(ways), []
    while left:
        found = min(left, key=lambda way: math.dist(way.start, at))
        left.remove(found)
        out.append(found)
        at = found.pieces[-1][0]
    return out
