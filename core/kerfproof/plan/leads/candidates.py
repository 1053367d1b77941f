"""All leads worth trying, as arrays: every start with every shape and size, the best of each contour first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.clearance import Clearances, Ground, Runs
from kerfproof.plan.kerf import KerfLoop
from kerfproof.plan.leads.lead import Lead, Starts
from kerfproof.plan.leads.starts import KerfSheet, Places
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

SHRINK_COST = 2.0
"""Cost of a lead shrunk to nothing; half the size costs half."""
ROOM_COST = 0.8
ROOM_WANTED = 3.0
"""A pierce outside an outline costs less the more room it has, up to so many mm beyond what it must have."""
SLAT_COST = 2.0
SLAT_CLEAR = 5.0
"""Pierces in thin sheet keep this far (mm) from slats."""
THIN = 3.0
WISHED = -100.0
"""The person's own choice of shape comes before all else."""


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Leads to try, as arrays of length m, sorted by contour and then by cost.

    `place` (m,) is the start in `places`, `shape` (m,) the place in `names`; `first` (n + 1,) tells where the leads
    of each contour begin.
    """

    places: Places
    names: tuple[str, ...]
    place: Ints
    shape: Ints
    size: Floats
    runs: Runs
    first: Ints

    def __len__(self) -> int:
        return len(self.place)


def candidates(
    sheet: KerfSheet,
    places: Places,
    shapes: Mapping[str, Lead],
    process: Process,
    machine: Machine,
    choice: LeadChoice,
    ground: Ground,
    wished: Mapping[int, str] | None = None,
    sizes: Mapping[int, float] | None = None,
) -> Candidates:
    """Return every start in `places` with every shape and size that suits it, sorted.

    `wished` names a shape for single contours, before the person's choice for all, `sizes` a full size (mm) for the
    wished shape, or without one for all.
    """
    names = tuple(shapes)
    own = {
        name: {i: size for i, size in (sizes or {}).items() if (wished or {}).get(i, name) == name} for name in names
    }
    rows = [_rows(sheet, places, k, shapes[name], process, machine, choice, own[name]) for k, name in enumerate(names)]
    place, shape, size, pierce, bulge, cost = (np.concatenate(column) for column in zip(*rows, strict=True))
    loop = places.loop[place]
    cost = cost + _room_cost(pierce, sheet.outline[loop], ground, Clearances.of(process, machine).edge + ROOM_WANTED)
    cost = cost + _wishes(loop, shape, names, len(sheet.loops), choice.shape, wished or {})
    cost = np.round(cost, 6)
    order = np.lexsort((-np.round(size, 6), shape, np.round(places.share[place], 9), places.segment[place], cost, loop))
    place, shape, size, loop = place[order], shape[order], size[order], loop[order]
    numbers = np.array([x.feature.number for x in sheet.loops], dtype=np.int64)
    face = np.full(len(order), Clearances.of(process, machine).face)
    runs = Runs(pierce[order], places.starts.at[place], bulge[order], numbers[loop], sheet.kerf[loop], face)
    first = np.searchsorted(loop, np.arange(len(sheet.loops) + 1))
    return Candidates(places, names, place, shape, size, runs, first)


_Rows = tuple[Ints, Ints, Floats, Floats, Floats, Floats]


def _rows(
    sheet: KerfSheet,
    places: Places,
    number: int,
    lead: Lead,
    process: Process,
    machine: Machine,
    choice: LeadChoice,
    sizes: Mapping[int, float],
) -> _Rows:
    kinds = np.array([x.feature.kind in lead.kinds for x in sheet.loops], dtype=np.bool_)
    suits = np.flatnonzero(((places.back >= 0) == lead.corner) & kinds[places.loop])
    whole = full_sizes(sheet, lead, process, choice)
    whole[list(sizes)] = list(sizes.values())
    full = whole[places.loop[suits]]
    shares = np.array(lead.shares)
    place = np.repeat(suits, len(shares))
    share = np.tile(shares, len(suits))
    size = np.repeat(full, len(shares)) * share
    starts = Starts(*(getattr(places.starts, name)[place] for name in Starts.__slots__))
    pierce, bulge = lead.draw(starts, size)
    slots = np.array([is_slot(x, process) for x in sheet.loops], dtype=np.bool_)
    rank = np.where(slots[places.loop[place]], lead.slot_rank, lead.rank)
    cost = places.cost[place] + rank + SHRINK_COST * (1 - share) + _slat_cost(pierce, process, machine)
    return place, np.full(len(place), number), size, pierce, bulge, cost


def full_sizes(sheet: KerfSheet, lead: Lead, process: Process, choice: LeadChoice) -> Floats:
    """Return the full size (mm) of a shape for each contour (n,)."""
    rooms = [(path_width(x.feature.kind, x.width, x.kerf), is_slot(x, process)) for x in sheet.loops]
    sizes = {room: lead.size(process, choice, *room) for room in set(rooms)}
    return np.array([sizes[room] for room in rooms], dtype=np.float64)


def path_width(kind: FeatureKind, width: float, kerf: float) -> float:
    """Return the width (mm) of the kerf path inside a hole, infinite for outlines."""
    return max(width - kerf, 0.1) if kind is FeatureKind.HOLE else float("inf")


def is_slot(loop: KerfLoop, process: Process) -> bool:
    """Return whether a hole is so narrow that the crater asks for a pierce on its center line, and is not round."""
    narrow = loop.width < 2 * (process.crater_radius + 0.5)
    return narrow and loop.feature.kind is FeatureKind.HOLE and loop.feature.diameter is None


def _room_cost(pierce: Floats, outline: Bools, ground: Ground, wanted: float) -> Floats:
    """Return what it costs to stand near kept metal (m,), nothing in holes."""
    out = np.zeros(len(pierce))
    out[outline] = ROOM_COST * (1 - ground.room(pierce[outline], wanted) / wanted)
    return out


def _slat_cost(pierce: Floats, process: Process, machine: Machine) -> Floats:
    """Return what a pierce over a slat costs; slats run along y, at x = offset + k x pitch."""
    if machine.slat_pitch <= 0 or process.thickness > THIN:
        return np.zeros(len(pierce))
    past = (pierce[:, 0] - machine.slat_offset) % machine.slat_pitch
    return np.where(np.minimum(past, machine.slat_pitch - past) < SLAT_CLEAR, SLAT_COST, 0.0)


def _wishes(
    loop: Ints, shape: Ints, names: Sequence[str], count: int, general: str | None, single: Mapping[int, str]
) -> Floats:
    number = {name: k for k, name in enumerate(names)}
    wish = np.full(count, number.get(general or "", -1))
    for i, name in single.items():
        wish[i] = number.get(name, -1)
    return np.where(shape == wish[loop], WISHED, 0.0)
