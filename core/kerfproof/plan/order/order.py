"""Which cut comes before which.

Inside before outside, parts nested in a hole before that hole, part by part with the tour advancing over the plate,
so that few travels lead back over freed parts; within that, short travel. Large windows come last before the outline:
while their slug holds, the sheet stays flat and stiff for the small holes (common practice, no source). Leads that need
another feature still uncut beside them add pairs that must keep their order.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Point
from kerfproof.errors import Watch, no_watch
from kerfproof.geom.path import Bundle, Floats, Ints
from kerfproof.geom.region import path_areas, path_boxes
from kerfproof.job.job import Order
from kerfproof.memo import Memo, Pieces
from kerfproof.parts.model.part import Feature, FeatureKind, Part, Parts
from kerfproof.plan.order.closed_slits import room, within_rings
from kerfproof.plan.order.tour import NO_KICKS_ABOVE, closed_tour, open_tour

__all__ = ["CutPlace", "closed_tour", "open_tour", "order_stops", "part_order", "provisional_ranks"]

ADVANCE = 2.0
"""How much more a mm along the plate counts than one across it: the tour finishes a column before it goes on."""
FEW, FEW_KICKS = 12, 5
"""Up to so many points need no more than so many kicks each."""
WINDOW, WINDOW_SHARE = 100.0, 0.1
"""A slug longer than this (mm), or of more than this share of its part's area, is that of a large window."""
SPREAD = 3
"""Spread out, every third comes first, then the ones between."""


@dataclass(frozen=True, slots=True)
class CutPlace:
    """One cut as a place to go to: its feature's number, where it is pierced, its length (mm) if it has sisters."""

    feature: int
    at: Point
    length: float


def part_order(parts: Sequence[Part], plate: Box) -> list[int]:
    """Return the places in `parts` of those that lie in no hole, in an order that advances over the plate.

    It begins at the plate's lower left corner and depends on the parts' boxes alone, so moving a lead keeps it.
    """
    roots = [i for i, part in enumerate(parts) if part.inside is None]
    features = sum(len(part.features) for part in parts)
    if not roots:
        return []
    boxes = path_boxes(Bundle.of([parts[i].outline.contour.path for i in roots]))
    x0, y0, x1, y1 = plate
    weights = np.array([ADVANCE, 1.0] if x1 - x0 >= y1 - y0 else [1.0, ADVANCE])
    centers = (boxes[:, :2] + boxes[:, 2:]) / 2
    tour = open_tour(centers * weights, np.array([x0, y0]) * weights, kicks=_kicks(features))
    return [roots[i] for i in tour.tolist()]


def provisional_ranks(parts: Parts, roots: Sequence[int]) -> dict[int, int]:
    """Return for each feature number its rank in an order that can be known before any lead is chosen.

    `roots` is the order of the parts, as `part_order` gives it.
    """
    nest = _Nest(parts)
    numbers: list[int] = []
    for i in roots:
        numbers += nest.inside_out(parts.parts[i])
    return {number: rank for rank, number in enumerate(numbers)}


def order_stops(
    stops: Sequence[CutPlace],
    parts: Parts,
    plate: Box,
    *,
    roots: Sequence[int] | None = None,
    order: Order = Order.PARTS,
    spread: bool = False,
    before: Collection[tuple[int, int]] = (),
    wanted: Sequence[int] = (),
    watch: Watch = no_watch,
    memo: Memo | None = None,
) -> list[int]:
    """Return the places in `stops` in the order of cutting.

    The features in `wanted` are cut in that order among themselves, as far as inside before outside allows.

    `roots` is the order of the parts (None: as `part_order` gives it). `before` holds pairs of feature numbers: the
    first is cut before the second, whatever else the order wants.

    Raises
    ------
    ValueError
        If the pairs go round in a circle with each other or with inside before outside.
    """
    if roots is None:
        roots = part_order(parts.parts, plate)
    with (memo or Memo(holds=False)).pieces("tours", ()) as known:
        plan = _Plan(stops, parts, roots, plate[:2], spread, watch, known)
        sequence = plan.holes_first() if order is Order.HOLES_FIRST else plan.part_by_part()
    return _kept(_by_hand(sequence, stops, wanted), stops, [*_Nest(parts).pairs(), *sorted(before)])


def _by_hand(sequence: Sequence[int], stops: Sequence[CutPlace], wanted: Sequence[int]) -> list[int]:
    """Return the sequence with the wanted features in their order on the places that they have among the others."""
    rank = {number: k for k, number in enumerate(wanted)}
    slots = [k for k, i in enumerate(sequence) if stops[i].feature in rank]
    mine = sorted((sequence[k] for k in slots), key=lambda i: rank[stops[i].feature])
    out = list(sequence)
    for k, i in zip(slots, mine, strict=True):
        out[k] = i
    return out


def broken_pairs(parts: Parts, wanted: Sequence[int]) -> list[tuple[int, int]]:
    """Return (first, then) feature numbers that `wanted` has the wrong way round: what is inside comes first."""
    rank = {number: k for k, number in enumerate(wanted)}
    pairs = sorted(set(_Nest(parts).pairs()))
    return [(a, b) for a, b in pairs if a in rank and b in rank and rank[a] > rank[b]]


def _kicks(features: int) -> int | None:
    return 0 if features > NO_KICKS_ABOVE else None


class _Nest:
    """Which parts lie in which hole."""

    def __init__(self, parts: Parts) -> None:
        self.parts = parts
        self.islands: dict[int, list[Part]] = {}
        for part in parts.parts:
            if part.inside is not None:
                self.islands.setdefault(part.inside, []).append(part)

    def inside_out(self, part: Part) -> list[int]:
        """Return the numbers of all features in and of a part, each after all that must be cut before it."""
        out: list[int] = []
        for hole in sorted(part.holes, key=lambda hole: hole.number in self.windows):
            for island in self.islands.get(hole.number, []):
                out += self.inside_out(island)
            out.append(hole.number)
        out += [f.number for f in (*sorted(part.slits, key=room), *part.marks)]
        return [*out, part.outline.number]

    @cached_property
    def windows(self) -> frozenset[int]:
        """The numbers of the large windows of all parts."""
        holes = [f for part in self.parts.parts for f in part.holes]
        if not holes:
            return frozenset()
        paths = Bundle.of([f.contour.path for f in holes])
        outlines = Bundle.of([part.outline.contour.path for part in self.parts.parts])
        whole = np.repeat(np.abs(path_areas(outlines)), [len(part.holes) for part in self.parts.parts])
        boxes = path_boxes(paths)
        long = (boxes[:, 2:] - boxes[:, :2]).max(axis=1) > WINDOW
        large = long | (np.abs(path_areas(paths)) > WINDOW_SHARE * whole)
        return frozenset(holes[k].number for k in np.flatnonzero(large).tolist())

    def pairs(self) -> Iterable[tuple[int, int]]:
        """Yield (first, then) for every feature and those around it, also past a hole that is not cut."""
        around = {f.number: part.outline.number for part in self.parts.parts for f in part.holes}
        for part in self.parts.parts:
            for f in (*part.holes, *part.slits):
                yield f.number, part.outline.number
            yield from within_rings(part)
            if part.inside is not None:
                yield part.outline.number, part.inside
                yield part.outline.number, around[part.inside]


class _Plan:
    """Builds sequences of stops, carrying on from where the torch is."""

    def __init__(
        self,
        stops: Sequence[CutPlace],
        parts: Parts,
        roots: Sequence[int],
        start: Point,
        spread: bool,
        watch: Watch,
        known: Pieces,
    ) -> None:
        self.stops, self.parts, self.roots, self.spread = stops, parts, roots, spread
        self.watch, self.known = watch, known
        self.here: Point = start
        self.kicks = _kicks(len(stops))
        self.nest = _Nest(parts)
        self.of: dict[int, list[int]] = {}
        # The longest loop of a feature last: it is the one that lets go.
        for i in sorted(range(len(stops)), key=lambda i: (stops[i].feature, round(stops[i].length, 6), i)):
            self.of.setdefault(stops[i].feature, []).append(i)

    def part_by_part(self) -> list[int]:
        out: list[int] = []
        roots = self._scattered(self.roots)
        for k, i in enumerate(roots):
            self.watch("order", k / len(roots))
            out += self._part(self.parts.parts[i])
        return out

    def holes_first(self) -> list[int]:
        levels: dict[tuple[int, bool], list[int]] = {}
        for part in self.parts.parts:
            for f in part.features:
                depth = part.outline.depth + (0 if f.kind is FeatureKind.OUTLINE else 1)
                levels.setdefault((depth, f.number not in self.nest.windows), []).extend(self.of.get(f.number, []))
        out: list[int] = []
        for level in sorted(levels, reverse=True):
            found = sorted(levels[level])
            tour = self._tour([self.stops[i].at for i in found], None)
            out += [found[k] for k in self._scattered(tour)]
            self._go_to(out)
        return out

    def _part(self, part: Part) -> list[int]:
        inner = [f for f in (*part.holes, *part.slits) if self.of.get(f.number) or self.nest.islands.get(f.number)]
        own = self.of.get(part.outline.number, [])
        goal = self.stops[own[0]].at if own else None
        windows = self.nest.windows
        small, large = ([f for f in inner if (f.number in windows) is last] for last in (False, True))
        out: list[int] = []
        for some in (small, large):
            tour = self._tour([self._face(f) for f in some], goal if some is large or not large else None)
            for k in self._scattered(tour):
                out += self._feature(some[k])
        out += own
        self._go_to(out)
        return out

    def _feature(self, feature: Feature) -> list[int]:
        out: list[int] = []
        islands = self.nest.islands.get(feature.number, [])
        for k in self._tour([self._center(p) for p in islands], None):
            out += self._part(islands[k])
        out += self.of.get(feature.number, [])
        self._go_to(out)
        return out

    def _face(self, feature: Feature) -> Point:
        own = self.of.get(feature.number)
        return self.stops[own[0]].at if own else self._center(self.nest.islands[feature.number][0])

    def _center(self, part: Part) -> Point:
        x0, y0, x1, y1 = part.outline.contour.path.bounds()
        return (x0 + x1) / 2, (y0 + y1) / 2

    def _tour(self, points: Sequence[Point], goal: Point | None) -> list[int]:
        if len(points) < 2:
            return list(range(len(points)))
        kicks = FEW_KICKS * len(points) if self.kicks is None and len(points) <= FEW else self.kicks
        here = self.here

        def tour() -> list[int]:
            found: Ints = open_tour(np.array(points, dtype=np.float64), here, goal, kicks=kicks)
            order: list[int] = found.tolist()
            return order

        return self.known.one((tuple(points), here, goal, kicks), tour)

    def _go_to(self, cut: Sequence[int]) -> None:
        if cut:
            self.here = self.stops[cut[-1]].at

    def _scattered(self, sequence: Sequence[int]) -> list[int]:
        if not self.spread or len(sequence) <= SPREAD:
            return list(sequence)
        return [i for k in range(SPREAD) for i in sequence[k::SPREAD]]


def _kept(sequence: Sequence[int], stops: Sequence[CutPlace], pairs: Sequence[tuple[int, int]]) -> list[int]:
    """Return the sequence with the least delay that keeps every pair in order."""
    cuts: dict[int, list[int]] = {}
    for rank, i in enumerate(sequence):
        cuts.setdefault(stops[i].feature, []).append(rank)
    waits = [0] * len(sequence)
    frees: list[list[int]] = [[] for _ in sequence]
    late = False
    for first, then in pairs:
        for a in cuts.get(first, []):
            for b in cuts.get(then, []):
                waits[b] += 1
                frees[a].append(b)
                late = late or a > b
    if not late:
        return list(sequence)
    ready = [rank for rank, count in enumerate(waits) if not count]
    out: list[int] = []
    while ready:
        rank = heapq.heappop(ready)
        out.append(sequence[rank])
        for b in frees[rank]:
            waits[b] -= 1
            if not waits[b]:
                heapq.heappush(ready, b)
    if len(out) != len(sequence):
        raise ValueError("the pairs go round in a circle")
    return out


def directions_to_bulk(centers: Floats, plate: Box) -> Floats:
    """Return unit vectors (n, 2) from `centers` (n, 2) to where most of the plate is left when a part is cut.

    That is towards the middle of the plate and on the way that the order advances.
    """
    x0, y0, x1, y1 = plate
    half = max(x1 - x0, y1 - y0, 1e-9) / 2
    ahead = np.array([1.0, 0.0] if x1 - x0 >= y1 - y0 else [0.0, 1.0])
    out = (np.array([(x0 + x1) / 2, (y0 + y1) / 2]) - centers) / half + 0.5 * ahead
    size = np.hypot(out[:, 0], out[:, 1])
    return np.asarray(np.where((size > 1e-9)[:, None], out / size.clip(1e-9)[:, None], ahead))
