"""The ground that leads are judged on: kept edges, all kerfs, the plate; and the judging, many leads at once.

All clearances are taken with the kerf of a worn tip, a quarter wider than nominal. Only the half of a lead that
meets its own contour may come as near to its own edges as the contour itself does: where it stays half a nominal
kerf away it can't cut deeper than the contour will. Distances are exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Point
from kerfproof.geom.distance import pair_distances, point_distances
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments
from kerfproof.parts.model.part import Feature, FeatureKind
from kerfproof.plan.kerf import KerfLoop
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, StartKind, TouchOff

SLACK = 1e-4
"""Limits are met within this (mm)."""
WORN = 1.25
"""How much wider than nominal the kerf of a worn tip is."""
NEAR_CENTER = 0.95
"""In a slot too narrow for the crater a pierce lies at least at this share of its half width from the edges."""
PLATE_EDGE = 3.0
"""How much further inside the plate than its crater a pierce must lie: nearer, the edge melts away."""


@dataclass(frozen=True, slots=True)
class Clearances:
    """How far a pierce stays away, mm: its centre from kept edges (`edge`), from the plate's edge (`plate`).

    Within `face` no other kerf may be cut yet, as the tip face must seat on sound plate; where parts are too
    crowded for that, within `crowded` (common practice, no source: the tip seats on half its face).
    """

    edge: float
    face: float
    crowded: float
    plate: float
    apart: float
    """From other pierces."""

    @staticmethod
    def of(process: Process, machine: Machine) -> Clearances:
        """Return the clearances of a process: the crater spoils no kept edge, the tip face seats on sound plate."""
        crater = process.crater_radius
        touches = machine.touch_off is not TouchOff.NONE or machine.start is StartKind.CONTACT
        sound = max(machine.tip_face_radius, crater) if touches else crater
        crowded = min(sound, max(machine.tip_face_radius / 2, crater))
        return Clearances(crater + 0.5, sound, crowded, crater + PLATE_EDGE, 2 * crater)


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Short torch-on runs between a contour and the scrap, as arrays of length m: leads, or lead-outs reversed.

    `far` (m, 2) the end in the scrap (the pierce of a lead), `near` (m, 2) the end on the contour, `bulge` (m,)
    from far to near, `feature` (m,) the number of its own feature, `kerf` (m,) nominal, `face` (m,) the radius
    round the far end within which no other kerf may be cut yet.
    """

    far: Floats
    near: Floats
    bulge: Floats
    feature: Ints
    kerf: Floats
    face: Floats

    def __len__(self) -> int:
        return len(self.bulge)

    def take(self, which: Ints | Bools) -> Runs:
        """Return the runs picked by an index or a mask."""
        return Runs(*(getattr(self, name)[which] for name in Runs.__slots__))

    def joined(self, other: Runs) -> Runs:
        """Return these runs followed by `other`."""
        return Runs(*(np.concatenate([getattr(self, n), getattr(other, n)]) for n in Runs.__slots__))

    def segments(self) -> Segments:
        """Return the runs as segments."""
        return Segments.between(self.far, self.near, self.bulge)

    def halves(self) -> tuple[Segments, Segments]:
        """Return the halves in the scrap and the halves on the contour."""
        whole = self.segments()
        every = np.arange(len(self))
        middle = whole.points(every, np.full(len(self), 0.5))
        bulge = np.tan(whole.sweep / 8)
        return Segments.between(self.far, middle, bulge), Segments.between(middle, self.near, bulge)


NO_RUNS = Runs(np.empty((0, 2)), np.empty((0, 2)), np.empty(0), np.empty(0, dtype=np.int64), np.empty(0), np.empty(0))


@dataclass(frozen=True, slots=True, eq=False)
class Conflicts:
    """What keeps runs from fitting, as masks of length m.

    `metal`: the kerf would touch kept metal; `crater`: the pierce is too near a kept edge; `kerf`: the kerf would
    cross another feature's; `plate`: too near the edge of the plate. `beside` and `other` are pairs: the tip face
    of run `beside[k]` would lie on the kerf of feature `other[k]`, so it must be cut before that feature or not.
    """

    metal: Bools
    crater: Bools
    kerf: Bools
    plate: Bools
    beside: Ints
    other: Ints

    @property
    def fits(self) -> Bools:
        """Which runs fit if the features beside them are cut later (m,)."""
        return ~(self.metal | self.crater | self.kerf | self.plate)

    @property
    def alone(self) -> Bools:
        """Which runs have no other kerf under the tip face (m,)."""
        out = np.ones(len(self.metal), dtype=np.bool_)
        out[self.beside] = False
        return out


class Ground:
    """Kept edges and kerfs of a sheet, ready to be searched. Made once, asked often."""

    __slots__ = ("_edge_tree", "_kerf_tree", "_reach", "edge_owner", "edges", "half", "kerf_owner", "kerfs", "plate")

    def __init__(self, features: Sequence[Feature], loops: Sequence[KerfLoop], plate: Box | None) -> None:
        closed = [f for f in features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE)]
        self.edges = Bundle.of([f.contour.path for f in closed]).segments()
        self.edge_owner = _numbers([f.number for f in closed])[self.edges.owner]
        self.kerfs = Bundle.of([loop.path for loop in loops]).segments()
        self.kerf_owner = _numbers([loop.feature.number for loop in loops])[self.kerfs.owner]
        self.half = np.array([loop.kerf / 2 for loop in loops], dtype=np.float64)[self.kerfs.owner]
        self.plate = plate
        most = max((loop.feature.number for loop in loops), default=-1) + 1
        self._reach = np.full(most, np.inf)
        """How far from kept edges a pierce can lie in each hole, by feature number: near its center line."""
        for loop in loops:
            if loop.feature.kind is FeatureKind.HOLE:
                self._reach[loop.feature.number] = max(NEAR_CENTER * loop.width, WORN * loop.kerf + 0.2) / 2
        self._edge_tree = Index(self.edges.boxes())
        self._kerf_tree = Index(self.kerfs.boxes())

    def judge(self, runs: Runs, clear: Clearances, *, pierce: bool = True) -> Conflicts:
        """Return what keeps each run from fitting; without `pierce` only their kerfs count."""
        m = len(runs)
        none = np.zeros(m, dtype=np.bool_)
        far, near = runs.halves()
        metal = self._touches_metal(runs, far, own=WORN) | self._touches_metal(runs, near, own=1.0)
        kerf = self._touches_kerfs(runs, far) | self._touches_kerfs(runs, near)
        if not pierce:
            return Conflicts(metal, none, kerf, self._off_plate(runs.far, runs.kerf), *_NO_PAIRS)
        crater = none.copy()
        i, j = self._edge_tree.pairs(point_boxes(runs.far), clear.edge)
        least = np.minimum(clear.edge, self._reach[runs.feature[i]])
        crater[i[point_distances(runs.far[i], self.edges, j) < least - SLACK]] = True
        plate = self._off_plate(runs.far, np.full(m, clear.plate))
        return Conflicts(metal, crater, kerf, plate, *self._beside(runs))

    def room(self, points: Floats, reach: float) -> Floats:
        """Return the distance from each point (m, 2) to the nearest kept edge, at most `reach` (m,)."""
        out = np.full(len(points), reach)
        i, j = self._edge_tree.pairs(point_boxes(points), reach)
        np.minimum.at(out, i, point_distances(points[i], self.edges, j))
        return out

    def _touches_metal(self, runs: Runs, part: Segments, own: float) -> Bools:
        worn = WORN * runs.kerf / 2
        i, j = self._edge_tree.pairs(part.boxes(), worn)
        mine = self.edge_owner[j] == runs.feature[i]
        limit = np.where(mine, own * runs.kerf[i] / 2, worn[i])
        out = np.zeros(len(runs), dtype=np.bool_)
        out[i[pair_distances(part, i, self.edges, j) < limit - SLACK]] = True
        return out

    def _touches_kerfs(self, runs: Runs, part: Segments) -> Bools:
        worn = WORN * runs.kerf / 2
        i, j = self._kerf_tree.pairs(part.boxes(), worn + self._widest)
        foreign = self.kerf_owner[j] != runs.feature[i]
        i, j = i[foreign], j[foreign]
        out = np.zeros(len(runs), dtype=np.bool_)
        out[i[pair_distances(part, i, self.kerfs, j) < worn[i] + self.half[j] - SLACK]] = True
        return out

    def _beside(self, runs: Runs) -> tuple[Ints, Ints]:
        i, j = self._kerf_tree.pairs(point_boxes(runs.far), runs.face + self._widest)
        foreign = self.kerf_owner[j] != runs.feature[i]
        i, j = i[foreign], j[foreign]
        near = point_distances(runs.far[i], self.kerfs, j) < runs.face[i] + self.half[j] - SLACK
        if not near.any():
            return _NO_PAIRS
        pairs = np.unique(np.column_stack([i[near], self.kerf_owner[j[near]]]), axis=0)
        return pairs[:, 0], pairs[:, 1]

    def _off_plate(self, points: Floats, inside: Floats) -> Bools:
        if self.plate is None:
            return np.zeros(len(points), dtype=np.bool_)
        x0, y0, x1, y1 = self.plate
        x, y = points.T
        return np.asarray(np.minimum(np.minimum(x - x0, x1 - x), np.minimum(y - y0, y1 - y)) < inside - SLACK)

    @property
    def _widest(self) -> float:
        return float(self.half.max()) if len(self.half) else 0.0


_NO_PAIRS = (np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64))


def _numbers(values: Sequence[int]) -> Ints:
    return np.array(values, dtype=np.int64)


def plain(point: Floats) -> Point:
    """Return a point (2,) as two plain numbers."""
    return float(point[0]), float(point[1])
