"""The simulated table: a plate, a head that feels it, and what can go wrong with both.

Positions are machine frame, mm, z up. A *pierce* is counted by place: a search elsewhere than the last one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from kerfproof.dialect import Dialect
from kerfproof.geom.path import Floats
from kerfproof.machine.profile import Machine, TouchOff
from kerfproof.motion.trace import Probed

XYZ = tuple[float, float, float]

SAME_PLACE = 0.01
"""Searches nearer than this are at the same pierce."""


@dataclass(frozen=True, slots=True)
class Plate:
    """A flat or tilted plate: its top at machine (0, 0), and how it rises per mm along x and y."""

    z: float = 0.0
    slope_x: float = 0.0
    slope_y: float = 0.0

    def top(self, xy: Floats) -> Floats:
        """Return the height of the plate's top (k,) under the points (k, 2)."""
        heights: Floats = self.z + self.slope_x * xy[:, 0] + self.slope_y * xy[:, 1]
        return heights

    def top_at(self, x: float, y: float) -> float:
        """Return the height of the plate's top under one point."""
        return self.z + self.slope_x * x + self.slope_y * y


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
    """One probing move that was made: at which pierce, which one there, from and to where, how fast, with what end."""

    pierce: int
    number: int
    start: XYZ
    target: XYZ
    feed_mm_min: float
    probed: Probed
    faulty: bool


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
        trip = self._trip(start, last if here else None, faulty)
        probed = self._end(start, target, trip, feed_mm_min)
        self.searches.append(Search(pierce, number, start, target, feed_mm_min, probed, faulty))
        return probed

    def _trip(self, start: XYZ, last: Search | None, faulty: bool) -> float | None:
        """Return the carriage height at which the switch closes on the way down, None if it never does."""
        trip = self.plate.top_at(start[0], start[1]) - self.trip_depth
        if faulty and self.trouble is not None:
            if self.trouble.fault is Fault.MISSING:
                return None
            if self.trouble.fault is Fault.STUCK:
                return start[2]
            trip += self.trouble.size * (1 if self.trouble.fault is Fault.FALSE_TRIP else -1)
            if self.trouble.fault is Fault.FALSE_TRIP:
                trip += self.trip_depth  # noise comes before the tip has touched
        if last is None or last.faulty or not last.probed.tripped or self.machine.touch_off is not TouchOff.FLOAT:
            return trip
        closed_at = last.probed.trip[2] + self.machine.read_late(last.feed_mm_min)
        still_closed = start[2] < closed_at + self.machine.switch_hysteresis - 1e-9
        return max(trip, start[2]) if still_closed else trip

    def _end(self, start: XYZ, target: XYZ, trip: float | None, feed_mm_min: float) -> Probed:
        """Return where the move ends: at its target without contact, else past the trip and back."""
        if trip is None or target[2] > min(start[2], trip):
            return Probed(False, target, target)
        if start[2] <= trip:
            return Probed(True, start, start)
        rest = min(start[2], trip - self.machine.overrun(feed_mm_min) + self.back_off)
        noted = trip - self.machine.read_late(feed_mm_min)
        return Probed(True, (start[0], start[1], noted), (start[0], start[1], rest))
