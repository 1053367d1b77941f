"""The simulated table: a plate, a head that feels it, and what can go wrong with both.

Positions are machine frame, mm, z up. A *pierce* is counted by place: a search elsewhere than the last one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.trace import Probed
from kerfproof.geom.path import Floats, Ints
from kerfproof.shop.profile import Machine, TouchOff

XYZ = tuple[float, float, float]

SAME_PLACE = 0.01
"""Searches nearer than this are at the same pierce."""
_STEPS = 64
"""A search that drags the tip sideways is followed in so many steps."""


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate: its top at machine (0, 0), how it rises per mm along x and y, how it is bowed, and how it moves.

    Bowed, it stands `bow` higher at `middle` and falls to nothing half a `width` away in x and in y. Where `moves` are
    given it lies so much higher at the first pierce, the second and so on, then again from the first: cuts and heat
    move a sheet.
    """

    z: float = 0.0
    slope_x: float = 0.0
    slope_y: float = 0.0
    bow: float = 0.0
    middle: tuple[float, float] = (0.0, 0.0)
    width: tuple[float, float] = (1.0, 1.0)
    moves: tuple[float, ...] = ()

    def top(self, xy: Floats, pierce: Ints | None = None) -> Floats:
        """Return the height of the plate's top (k,) under the points (k, 2), as it lies at a pierce (k,) each."""
        heights: Floats = self.z + self.slope_x * xy[:, 0] + self.slope_y * xy[:, 1]
        if self.bow:
            away = np.pi * (xy - np.array(self.middle)) / np.array(self.width)
            heights = heights + self.bow * np.cos(away[:, 0]) * np.cos(away[:, 1])
        if self.moves:
            number = np.zeros(len(xy), dtype=np.int64) if pierce is None else np.maximum(pierce - 1, 0)
            heights = heights + np.array(self.moves)[number % len(self.moves)]
        return heights

    def top_at(self, x: float, y: float, pierce: int = 1) -> float:
        """Return the height of the plate's top under one point, as it lies at a pierce."""
        height = self.z + self.slope_x * x + self.slope_y * y
        if self.bow:
            along, across = (math.pi * (v - m) / w for v, m, w in zip((x, y), self.middle, self.width, strict=True))
            height += self.bow * math.cos(along) * math.cos(across)
        return height + self.moves[(pierce - 1) % len(self.moves)] if self.moves else height


class Fault(StrEnum):
    """What goes wrong at a pierce."""

    MISSING = "no plate under the torch"
    """Nothing to touch at this pierce and all later ones."""
    SLAT = "a slat instead of the plate"
    """From this pierce on only a slat, `Trouble.size` below the plate, is felt."""
    FALSE_TRIP = "a false trip by noise"
    """At this pierce the first search trips `Trouble.size` above the plate."""
    STUCK = "a stuck switch"
    """From this pierce on the switch is closed always."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """A fault, the pierce (from 1) at which it begins, and its size where it has one, mm."""

    fault: Fault
    pierce: int = 1
    size: float = 8.0

    def acts(self, pierce: int, search: int) -> bool:
        """Return whether the fault acts on this search (from 1) of this pierce."""
        if self.fault is Fault.FALSE_TRIP:
            return pierce == self.pierce and search == 1
        return pierce >= self.pierce


class Search(NamedTuple):
    """One probing move that was made: at which pierce, which one there, from and to where, how fast, with what end.

    `top` is the height of the plate's top under the tip where it came to.
    """

    pierce: int
    number: int
    start: XYZ
    target: XYZ
    feed_mm_min: float
    probed: Probed
    faulty: bool
    top: float = 0.0


def trip_depth(machine: Machine, control: Dialect) -> float:
    """Return how far below tip contact the switch trips, from the float of the machine file.

    Where a program can't read the trip, the float was measured where Z comes to rest: overrun at its feed and the
    control's own back-off are in it.
    """
    if machine.touch_off is not TouchOff.FLOAT or reads_trip(control):
        return machine.trip_depth
    return machine.trip_depth - machine.overrun(machine.float_feed_mm_min) + control.control_back_off


def reads_trip(control: Dialect) -> bool:
    """Return whether a program for this control can go back to where a search tripped."""
    return control.expressions and control.trip_parameter is not None


@dataclass(slots=True)
class Table:
    """A world for one run of the interpreter: it remembers its searches, so it is used once.

    The carriage trips the switch `trip_depth` below tip contact, runs on by the machine's overrun at that feed,
    and is moved back up by `back_off` where the control does so. The control notes the trip where the carriage is when
    it hears of it: the faster the touch, the lower. The switch lets go only `switch_hysteresis` above its trip.
    """

    machine: Machine
    plate: Plate
    trip_depth: float
    back_off: float = 0.0
    trouble: Trouble | None = None
    searches: list[Search] = field(default_factory=list)

    def probe(self, start: XYZ, target: XYZ, feed_mm_min: float) -> Probed:
        """Return what a probing move from `start` towards `target` does, and remember it."""
        last = self.searches[-1] if self.searches else None
        here = last is not None and math.hypot(last.start[0] - start[0], last.start[1] - start[1]) <= SAME_PLACE
        pierce = 1 if last is None else last.pierce + (0 if here else 1)
        number = last.number + 1 if last is not None and here else 1
        faulty = self.trouble is not None and self.trouble.acts(pierce, number)
        bias = self._bias(faulty)
        closed = self._closed_at(start, pierce, last if here else None, bias, faulty)
        probed = self._end(start, target, pierce, bias, closed, feed_mm_min)
        x, y, _ = probed.trip
        top = self.plate.top_at(x, y, pierce)
        self.searches.append(Search(pierce, number, start, target, feed_mm_min, probed, faulty, top))
        return probed

    def _bias(self, faulty: bool) -> float | None:
        """Return how far over the plate's top the carriage is when the switch closes, None if it never does."""
        if not faulty or self.trouble is None:
            return -self.trip_depth
        if self.trouble.fault is Fault.MISSING:
            return None
        if self.trouble.fault is Fault.FALSE_TRIP:
            return self.trouble.size - self.trip_depth  # noise closes it so much earlier
        return -self.trip_depth - self.trouble.size

    def _closed_at(self, start: XYZ, pierce: int, last: Search | None, bias: float | None, faulty: bool) -> bool:
        """Return whether the switch is closed before the search begins."""
        if faulty and self.trouble is not None and self.trouble.fault is Fault.STUCK:
            return True
        if bias is not None and start[2] <= self.plate.top_at(start[0], start[1], pierce) + bias:
            return True
        if last is None or last.faulty or not last.probed.tripped or self.machine.touch_off is not TouchOff.FLOAT:
            return False
        if bias is None:
            return False
        closed_at = last.probed.trip[2] + self.machine.read_late(last.feed_mm_min)
        return start[2] < closed_at + self.machine.switch_hysteresis - 1e-9

    def _end(
        self, start: XYZ, target: XYZ, pierce: int, bias: float | None, closed: bool, feed_mm_min: float
    ) -> Probed:
        """Return where the move ends: at its target without contact, else past the trip and back."""
        if target[2] > start[2]:
            return Probed(False, target, target)  # upwards nothing is met
        if closed:
            return Probed(True, start, start)
        met = None if bias is None else self._met(start, target, pierce, bias)
        if met is None:
            return Probed(False, target, target)
        (x, y, z), (to_x, to_y, to_z) = start, target
        way_x, way_y, way_z = to_x - x, to_y - y, to_z - z
        length = math.hypot(way_x, way_y, way_z)
        late, on = self.machine.read_late(feed_mm_min), self.machine.overrun(feed_mm_min) - self.back_off
        on = max(on, -met * length)  # it never backs off past where it began
        x, y, z = x + way_x * met, y + way_y * met, z + way_z * met
        way_x, way_y, way_z = way_x / length, way_y / length, way_z / length
        return Probed(
            True,
            (x + way_x * late, y + way_y * late, z + way_z * late),
            (x + way_x * on, y + way_y * on, z + way_z * on),
        )

    def _met(self, start: XYZ, target: XYZ, pierce: int, bias: float) -> float | None:
        """Return which share of a downward way is made when the switch closes, None if it never does."""
        (x, y, z), (to_x, to_y, to_z) = start, target

        def over(share: float) -> float:
            top = self.plate.top_at(x + (to_x - x) * share, y + (to_y - y) * share, pierce)
            return z + (to_z - z) * share - top - bias

        if start[:2] == target[:2]:
            return over(0.0) / (start[2] - target[2]) if over(1.0) <= 0.0 else None
        open_at = 0.0
        for k in range(1, _STEPS + 1):
            share = k / _STEPS
            if over(share) <= 0.0:
                for _ in range(60):
                    half = (open_at + share) / 2
                    open_at, share = (half, share) if over(half) > 0.0 else (open_at, half)
                return share
            open_at = share
        return None
