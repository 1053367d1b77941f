"""Travel between cuts: around freed pieces that may have tipped, or over them at the top of travel.

A tipped piece stands as high as its longest chord times the sine of its tilt; those that could rise above the
travel height at 45 degrees are obstacles (statics). A piece is taken as the convex hull of what its cut frees.
Over smaller ones and over the plate the torch hops no higher than it must: each mm up is a mm to search down again.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Cut, Point
from kerfproof.errors import Watch, no_watch
from kerfproof.geom.chords import longest_chords
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path
from kerfproof.geom.region import path_boxes
from kerfproof.geom.swept import hulls
from kerfproof.shop.profile import Machine, TouchOff

TILT_SINE = math.sin(math.radians(45.0))
ASIDE = 3.0
"""How far (mm) from a freed piece's box travel passes it."""
LEAST_HOP = 6.0
"""Lower than this (mm) the torch does not travel: dross, spatter (common practice, no source)."""
ROOM_OVER = 3.0
"""So much (mm) over a piece on its edge, or over a plate as high as it may lie, the torch passes."""
HOP_STEP = 0.5
"""Hops are rounded up to this (mm)."""
FLATTENED = 0.1
_ROWS = 256
MOST_PIECES = 8
"""So many pieces are gone around in one travel; where there are more, the torch is raised fully."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One travel: points to pass on the way, or full height."""

    via: tuple[Point, ...] = ()
    full_raise: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class FreedPiece:
    """A freed piece as half planes ``normals @ p <= limits``, its box, and its longest chord (mm)."""

    normals: Floats
    limits: Floats
    box: Box
    chord: float


def freed_pieces(kerf_paths: Sequence[Path], kerfs: Sequence[float]) -> list[FreedPiece]:
    """Return the convex hulls of the pieces inside kerf paths that come back to their start, half a kerf in."""
    return [_piece(hull, kerf) for hull, kerf in zip(hulls(Bundle.of(kerf_paths), FLATTENED), kerfs, strict=True)]


def _piece(hull: Floats, kerf: float) -> FreedPiece:
    steps = np.roll(hull, -1, axis=0) - hull
    normals = np.column_stack([steps[:, 1], -steps[:, 0]]) / np.hypot(steps[:, 0], steps[:, 1])[:, None]
    limits = (normals * hull).sum(axis=1) - kerf / 2 - 0.01
    x, y = hull.T
    box = (float(x.min()), float(y.min()), float(x.max()), float(y.max()))
    chord = float(np.hypot(hull[:, None, 0] - hull[None, :, 0], hull[:, None, 1] - hull[None, :, 1]).max())
    return FreedPiece(normals, limits, box, chord)


def may_tip(chord: float, travel_height: float) -> bool:
    """Return whether a piece with this longest chord could stand above the travel height."""
    return chord * TILT_SINE > travel_height


def route(
    starts: Sequence[Point],
    ends: Sequence[Point],
    pieces: Sequence[FreedPiece | None],
    plate: Box,
    watch: Watch = no_watch,
) -> list[Leg]:
    """Return for each cut in order the travel to its start.

    Cut k begins at ``starts[k]``, ends at ``ends[k]`` and then frees ``pieces[k]`` (None: nothing that may tip).
    """
    legs = [Leg() for _ in starts]
    freed_at = np.array([k for k, piece in enumerate(pieces) if piece is not None], dtype=np.int64)
    if not len(freed_at) or len(starts) < 2:
        return legs
    found = [piece for piece in pieces if piece is not None]
    field = _Field(found, plate)
    a, b = np.array(ends[:-1]), np.array(starts[1:])
    for low in range(0, len(a), _ROWS):
        watch("travel", low / len(a))
        part = slice(low, low + _ROWS)
        way, piece = field.met(a[part], b[part])
        way += low
        for k in np.unique(way[freed_at[piece] <= way]).tolist():
            legs[k + 1] = field.leg(ends[k], starts[k + 1], int(np.searchsorted(freed_at, k, side="right")))
    return legs


def hops(legs: Sequence[Leg], cuts: Sequence[Cut], frees: Sequence[bool], machine: Machine) -> list[float | None]:
    """Return how high (mm) over the plate the torch goes on the way to each cut; None: at the travel height.

    That is clear of whatever the cuts before have freed below the way, each piece on its edge at 45 degrees, and of a
    plate that lies as much higher as it may. `frees` tells which cuts come back to their start.
    """
    out: list[float | None] = [None] * len(cuts)
    least = max(LEAST_HOP, machine.plate_height_band + ROOM_OVER)
    if not machine.hop or machine.touch_off is TouchOff.NONE or least >= machine.travel_height or len(cuts) < 2:
        return out
    freed = np.flatnonzero(frees)
    high = np.full(len(cuts), least)
    if len(freed):
        paths = Bundle.of([cuts[k].contour for k in freed.tolist()])
        rise = TILT_SINE * (longest_chords(paths) - np.array([cuts[k].kerf for k in freed.tolist()])) + ROOM_OVER
        boxes = path_boxes(paths) + ASIDE * np.array([-1.0, -1.0, 1.0, 1.0])
        stops = [np.array([cuts[k].end, *legs[k + 1].via, _goal(cuts[k + 1])]) for k in range(len(cuts) - 1)]
        counts = np.array([len(way) - 1 for way in stops])
        whose = np.repeat(np.arange(1, len(cuts)), counts)
        a, b = np.concatenate([way[:-1] for way in stops]), np.concatenate([way[1:] for way in stops])
        k, i = Index(boxes).pairs(np.hstack([np.minimum(a, b), np.maximum(a, b)]))
        over = (freed[i] < whose[k]) & (rise[i] > least)
        k, i = k[over], i[over]
        met = _passes(a[k], b[k], boxes[i])
        np.maximum.at(high, whose[k[met]], rise[i[met]])
    steps = np.ceil(high / HOP_STEP - 1e-9) * HOP_STEP
    hopped = [k for k, leg in enumerate(legs) if k and not leg.full_raise and steps[k] < machine.travel_height]
    for number, height in zip(hopped, _two_heights(steps[hopped]).tolist(), strict=True):
        out[number] = height
    return out


def _two_heights(wanted: Floats) -> Floats:
    """Return heights (n,) that are as wanted or higher, of two kinds, and as low as that allows in all.

    A person at the table learns two heights, not twenty; and blocks that are alike are proven as one.
    """
    if not len(wanted):
        return wanted
    kinds, counts = np.unique(wanted, return_counts=True)
    saved = np.cumsum(counts) * (kinds[-1] - kinds)
    low = kinds[saved.argmax()]
    return np.asarray(np.where(wanted <= low, low, kinds[-1]))


def _goal(cut: Cut) -> Point:
    return cut.touch_at or cut.pierce


def _passes(a: Floats, b: Floats, boxes: Floats) -> Bools:
    """Return which ways from `a` to `b` (k, 2) lead through their box (k, 4)."""
    step = b - a
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = (boxes[:, :2] - a) / step, (boxes[:, 2:] - a) / step
    still = step == 0
    outside = (still & ((a <= boxes[:, :2]) | (a >= boxes[:, 2:]))).any(axis=1)
    enter = np.where(still, 0.0, np.minimum(low, high)).max(axis=1, initial=0.0)
    leave = np.where(still, 1.0, np.maximum(low, high)).min(axis=1, initial=1.0)
    return np.asarray(~outside & (enter < leave))


class _Field:
    """All pieces that may tip, and ways between them."""

    def __init__(self, pieces: Sequence[FreedPiece], plate: Box) -> None:
        self.pieces = pieces
        self.boxes = np.array([piece.box for piece in pieces])
        self.columns = np.ascontiguousarray(self.boxes.T)
        self.index = Index(self.boxes)
        self.plate = plate

    def leg(self, a: Point, b: Point, freed: int) -> Leg:
        """Return the way from `a` to `b` clear of the first `freed` pieces."""
        blocking = self._blocking(a, b, freed)
        if not blocking:
            return Leg()
        around: list[int] = []
        while len(around) + len(blocking) <= MOST_PIECES:
            around = sorted({*around, *blocking})
            way = self._around(a, b, around)
            if way is None:
                return Leg(full_raise=True)
            blocking = sorted({p for u, v in pairwise(way) for p in self._blocking(u, v, freed)})
            if not blocking:
                return Leg(via=tuple(way[1:-1]))
            if set(blocking) <= set(around):
                break
        return Leg(full_raise=True)

    def _blocking(self, a: Point, b: Point, freed: int) -> list[int]:
        x0, y0, x1, y1 = self.columns[:, :freed]
        met = (x0 < max(a[0], b[0])) & (x1 > min(a[0], b[0])) & (y0 < max(a[1], b[1])) & (y1 > min(a[1], b[1]))
        return [i for i in np.flatnonzero(met).tolist() if _crosses(self.pieces[i], a, b)]

    def met(self, a: Floats, b: Floats) -> tuple[Ints, Ints]:
        """Return (way, piece): which boxes of pieces the boxes of the ways from `a` to `b` (k, 2) overlap."""
        ways = np.hstack([np.minimum(a, b), np.maximum(a, b)])
        k, i = self.index.pairs(ways)
        over = (self.boxes[i, :2] < ways[k, 2:]).all(axis=1) & (self.boxes[i, 2:] > ways[k, :2]).all(axis=1)
        return k[over], i[over]

    def _around(self, a: Point, b: Point, around: Sequence[int]) -> list[Point] | None:
        """Return the shortest way over corners of the boxes of `around` that is clear of those pieces."""
        nodes = [a, b, *self._corners(around)]
        pieces = [self.pieces[i] for i in around]
        best = {0: 0.0}
        came: dict[int, int] = {}
        queue = [(math.dist(a, b), 0)]
        done: set[int] = set()
        while queue:
            _, u = heapq.heappop(queue)
            if u == 1:
                return self._unwound(nodes, came)
            if u in done:
                continue
            done.add(u)
            for v in range(1, len(nodes)):
                cost = best[u] + math.dist(nodes[u], nodes[v])
                if v in done or cost >= best.get(v, math.inf) - 1e-9:
                    continue
                if any(_crosses(piece, nodes[u], nodes[v]) for piece in pieces):
                    continue
                best[v], came[v] = cost, u
                heapq.heappush(queue, (cost + math.dist(nodes[v], b), v))
        return None

    def _unwound(self, nodes: Sequence[Point], came: dict[int, int]) -> list[Point]:
        way, v = [nodes[1]], 1
        while v:
            v = came[v]
            way.append(nodes[v])
        return way[::-1]

    def _corners(self, around: Sequence[int]) -> list[Point]:
        x0, y0, x1, y1 = self.plate
        corners = []
        for i in around:
            left, low, right, high = self.pieces[i].box
            for x in (left - ASIDE, right + ASIDE):
                for y in (low - ASIDE, high + ASIDE):
                    if x0 <= x <= x1 and y0 <= y <= y1:
                        corners.append((x, y))
        return corners


def _crosses(piece: FreedPiece, a: Point, b: Point) -> bool:
    """Return whether the way from `a` to `b` leads over the piece (clipping by half planes)."""
    x0, y0, x1, y1 = piece.box
    if max(a[0], b[0]) <= x0 or min(a[0], b[0]) >= x1 or max(a[1], b[1]) <= y0 or min(a[1], b[1]) >= y1:
        return False
    d = np.array([b[0] - a[0], b[1] - a[1]])
    over = piece.normals @ d
    room = piece.limits - piece.normals @ np.array(a)
    if (room[np.abs(over) < 1e-12] < 0).any():
        return False
    with np.errstate(divide="ignore", invalid="ignore"):
        t = room / over
    enter = float(t[over < -1e-12].max(initial=0.0))
    leave = float(t[over > 1e-12].min(initial=1.0))
    return enter < leave - 1e-9
