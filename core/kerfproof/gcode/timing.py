"""How long a program takes on a machine whose axes need time to reach a speed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.trace import Step, Trace, row_lengths
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.shop.profile import Machine

_MOVES = (Step.RAPID, Step.FEED, Step.ARC, Step.PROBE)
_SHORTEST = 1e-9
_STRAIGHT_ON = math.cos(2e-3)
"""Corners below 2 mrad are none: coordinates with four decimals bend tangent joints by that much."""


@dataclass(frozen=True, slots=True, eq=False)
class Speeds:
    """Each row's motion: `seconds` it takes, speeds mm/s at its start, at most and at its end, all (n,)."""

    seconds: Floats
    entry: Floats
    peak: Floats
    exit: Floats
    acceleration: Floats
    """How fast the row may speed up, mm/s2; infinite where nothing moves."""


def cut_times(trace: Trace, machine: Machine, control: Dialect | None = None) -> Floats:
    """Return the seconds that each row takes (n,); stops for the operator count nothing.

    Moves speed up and slow down within the limits of each axis, corners are passed as fast as the path tolerance
    lets them be rounded, arcs no faster than sqrt(a r). Where the program asks for the exact path (G61), corners
    are stops, unless G61 is the very word with which `control` rounds corners.
    """
    return speeds(trace, machine, control).seconds


def speeds(trace: Trace, machine: Machine, control: Dialect | None = None) -> Speeds:
    """Return times and speeds of each row; see `cut_times`."""
    n = len(trace)
    seconds = np.where(trace.kind == Step.DWELL, trace.value, 0.0)
    seconds += np.where((trace.kind == Step.TORCH_ON) & ~trace.torch, machine.torch_on_delay_s, 0.0)
    entry, peak, leave, acceleration = np.zeros(n), np.zeros(n), np.zeros(n), np.full(n, np.inf)
    length = row_lengths(trace.start, trace.end, trace.center, trace.sweep)
    moving = np.isin(trace.kind, _MOVES) & (length > _SHORTEST)
    rows = np.flatnonzero(moving).astype(np.int64)
    if len(rows):
        moves = _Moves(trace, machine, rows, length[rows], _corner_tolerance(trace, machine, control))
        v0, v1 = moves.ends()
        seconds[rows], peak[rows] = trapezoid(length[rows], moves.speed, moves.acceleration, v0, v1)
        entry[rows], leave[rows], acceleration[rows] = v0, v1, moves.acceleration
    return Speeds(seconds, entry, peak, leave, acceleration)


def below_feed(trace: Trace, v: Speeds, share: float) -> Floats:
    """Return the length of each row (n,) that runs slower than a share of its programmed feed, mm."""
    limit = share * trace.feed / 60.0
    length = row_lengths(trace.start, trace.end, trace.center, trace.sweep)
    top = np.minimum(limit, v.peak)
    ramps = [np.maximum(top**2 - end**2, 0.0) / (2 * v.acceleration) for end in (v.entry, v.exit)]
    slow = np.where(v.peak < limit, length, np.minimum(ramps[0] + ramps[1], length))
    return np.where(limit > 0, slow, 0.0)


def trapezoid(
    length: Floats, speed: Floats, acceleration: Floats, entry: Floats, leave: Floats
) -> tuple[Floats, Floats]:
    """Return seconds and top speed of moves that start at `entry`, end at `leave` and strive for `speed`.

    All (n,); mm, mm/s, mm/s2. `entry` and `leave` must be reachable from each other within `length`.
    """
    crest = np.sqrt(acceleration * length + (entry**2 + leave**2) / 2)
    top = np.maximum(np.minimum(speed, crest), np.maximum(entry, leave))
    ramps = (2 * top**2 - entry**2 - leave**2) / (2 * acceleration)
    cruise = np.maximum(length - ramps, 0.0)
    return (2 * top - entry - leave) / acceleration + cruise / top, top


class _Moves:
    """The moving rows of a trace with the speed and acceleration that the axes allow each of them."""

    def __init__(self, trace: Trace, machine: Machine, rows: Ints, length: Floats, tolerance: float) -> None:
        self.trace, self.machine, self.rows, self.length, self.tolerance = trace, machine, rows, length, tolerance
        self.kind = trace.kind[rows]
        self.begin, self.finish = _directions(trace, rows, length)
        self.acceleration, self.speed = self._limits()

    def _limits(self) -> tuple[Floats, Floats]:
        m = self.machine
        slope = np.abs(self.begin[:, 2])
        arc = self.kind == Step.ARC
        # An arc points every way in turn, so its flat part counts whole; a line has a share of each axis.
        flat = np.where(arc, _norm(self.begin), np.maximum(np.abs(self.begin[:, 0]), np.abs(self.begin[:, 1])))
        acceleration = 1.0 / np.maximum(flat / m.acceleration_mm_s2, slope / m.z_acceleration_mm_s2)
        rapid = 1.0 / np.maximum(flat / m.rapid_mm_min, slope / m.z_rapid_mm_min)
        feed = np.where(self.kind == Step.RAPID, rapid, np.minimum(self.trace.feed[self.rows], rapid))
        speed = np.maximum(feed, 1e-6) / 60.0
        radial = self.trace.start.take(self.rows, axis=0)[:, :2] - self.trace.center.take(self.rows, axis=0)
        radius = _norm(radial)
        bend = np.sqrt(m.acceleration_mm_s2 * np.where(arc, radius, 1.0)) / np.where(arc, np.maximum(flat, 1e-9), 1.0)
        return acceleration, np.where(arc, np.minimum(speed, bend), speed)

    def ends(self) -> tuple[Floats, Floats]:
        """Return the speeds at the start and the end of each move."""
        joint = self._joints()
        reach = 2 * self.acceleration * self.length
        way = np.concatenate([[0.0], np.cumsum(reach)])
        ahead = np.minimum(np.arange(len(way)) + self.machine.lookahead_blocks, len(way) - 1)
        # A control that sees n moves ahead must be able to stop within them.
        cap = np.minimum(joint**2, way[ahead] - way)
        # Speeds squared may grow by 2 a L over a move, both ways: two running minima over the whole program.
        back = np.minimum.accumulate((cap + way)[::-1])[::-1] - way
        both = np.minimum.accumulate(np.minimum(cap, back) - way) + way
        v = np.sqrt(np.maximum(both, 0.0))
        v = np.where(joint == 0.0, 0.0, v)
        return v[:-1], v[1:]

    def _joints(self) -> Floats:
        """Return the speed allowed at the start of each move and at the very end (n + 1,)."""
        limit = np.minimum(self.speed[:-1], self.speed[1:])
        corner = self._corner_speed(self.finish[:-1], self.begin[1:])
        going_on = self._going_on()
        return np.concatenate([[0.0], np.where(going_on, np.minimum(limit, corner), 0.0), [0.0]])

    def _going_on(self) -> Bools:
        """Return which joints are passed without a stop: neighbours of one kind with nothing in between."""
        t, rows = self.trace, self.rows
        feeds = np.isin(self.kind, (Step.FEED, Step.ARC))
        alike = (feeds[:-1] & feeds[1:]) | ((self.kind[:-1] == Step.RAPID) & (self.kind[1:] == Step.RAPID))
        gap = np.abs(t.end.take(rows[:-1], axis=0) - t.start.take(rows[1:], axis=0))
        joined = np.maximum(np.maximum(gap[:, 0], gap[:, 1]), gap[:, 2]) <= 1e-6
        waits = np.cumsum(~np.isin(t.kind, _MOVES))
        between = waits[rows[1:]] != waits[rows[:-1]]
        exact_stop = t.modes.get("path", "") == "G61.1"
        return np.asarray(alike & joined & ~between & (not exact_stop))

    def _corner_speed(self, before: Floats, after: Floats) -> Floats:
        """Return how fast a corner can be rounded without leaving the path by more than the tolerance.

        The rounding arc that leaves a corner of turn t by e has the radius e cos(t/2) / (1 - cos(t/2)).
        """
        along = before * after
        turned = np.clip(along[:, 0] + along[:, 1] + along[:, 2], -1.0, 1.0)  # the cosine of the turn
        half = np.sqrt((1.0 + turned) / 2)
        radius = self.tolerance * half / np.maximum(1.0 - half, 1e-15)
        upright = np.maximum(np.abs(before[:, 2]), np.abs(after[:, 2])) > 1e-9
        m = self.machine
        a = np.where(upright, min(m.acceleration_mm_s2, m.z_acceleration_mm_s2), m.acceleration_mm_s2)
        return np.where(turned > _STRAIGHT_ON, np.inf, np.sqrt(a * radius))


def _corner_tolerance(trace: Trace, machine: Machine, control: Dialect | None) -> float:
    """Return how far corners may be left, mm; 0 where they are stops."""
    rounds_in_g61 = control is not None and control.path_blend_word == "G61"
    if trace.modes.get("path", "") == "G61" and not rounds_in_g61:
        return 0.0
    return machine.path_tolerance or 0.0


def _norm(vectors: Floats) -> Floats:
    """Return the lengths in the plane (n,); a tenth of the time of `numpy.hypot`."""
    length: Floats = np.sqrt(vectors[:, 0] ** 2 + vectors[:, 1] ** 2)
    return length


def _directions(trace: Trace, rows: Ints, length: Floats) -> tuple[Floats, Floats]:
    """Return unit directions at the start and at the end of moves (n, 3)."""
    start, end = trace.start.take(rows, axis=0), trace.end.take(rows, axis=0)
    chord = (end - start) / length[:, None]
    arcs = np.flatnonzero(trace.sweep[rows])
    centre, way, slope = trace.center.take(rows[arcs], axis=0), np.sign(trace.sweep[rows[arcs]]), chord[arcs, 2]
    level = np.sqrt(np.maximum(1.0 - slope**2, 0.0))
    out = []
    for place in (start, end):
        radial = place.take(arcs, axis=0)[:, :2] - centre
        turn = way / np.maximum(_norm(radial), _SHORTEST)
        tangent = chord.copy()
        tangent[arcs, 0], tangent[arcs, 1] = -radial[:, 1] * turn * level, radial[:, 0] * turn * level
        out.append(tangent)
    return out[0], out[1]
