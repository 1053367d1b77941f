"""A program over time: where the torch is, how high and on which line, at any second of its run."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.timing import cut_times
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.shop.profile import Machine

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Moment:
    """The program at one second: program coordinates of the tip, its height over the plate, line and state.

    `row` is that of the trace. `height` is mm, negative into the float, None where nothing tells where the plate is.
    """

    seconds: float
    row: int
    line: int
    x: float
    y: float
    height: float | None
    torch: bool
    kind: Step


@dataclass(frozen=True, slots=True, eq=False)
class Timeline:
    """The rows of a trace laid out over time; all arrays have the length n of the trace.

    `begin` and `end` are seconds from the start of the program; stops for the operator take none. `start` and
    `finish` (n, 3) are program x, y and the height of the tip over the plate. Before the plate is found, the height
    is that over where it will be found.
    """

    begin: Floats
    end: Floats
    start: Floats
    finish: Floats
    center: Floats
    sweep: Floats
    torch: Bools
    line: Ints
    kind: Ints

    def __len__(self) -> int:
        return len(self.begin)

    @property
    def seconds(self) -> float:
        """How long the program takes."""
        return float(self.end[-1]) if len(self) else 0.0

    def row_at(self, seconds: float) -> int:
        """Return the row that runs at `seconds`, held within the program; -1 of an empty program."""
        found = int(np.searchsorted(self.end, seconds, side="right"))
        return min(found, len(self) - 1)

    def at(self, seconds: float) -> Moment | None:
        """Return the program at `seconds`, held within its run; None of an empty program."""
        row = self.row_at(seconds)
        if row < 0:
            return None
        held = min(max(seconds, 0.0), self.seconds)
        lasts = float(self.end[row] - self.begin[row])
        share = min(max((held - float(self.begin[row])) / lasts, 0.0), 1.0) if lasts > _NOTHING else 1.0
        x, y, over = self._place(row, share)
        height = over if self.plate_known else None
        return Moment(held, row, int(self.line[row]), x, y, height, bool(self.torch[row]), Step(int(self.kind[row])))

    def _place(self, row: int, share: float) -> tuple[float, float, float]:
        a, b = self.start[row], self.finish[row]
        x, y, height = (float(v) for v in a + (b - a) * share)
        sweep = float(self.sweep[row])
        if sweep:
            cx, cy = (float(v) for v in self.center[row])
            rx, ry = float(a[0]) - cx, float(a[1]) - cy
            cos, sin = float(np.cos(sweep * share)), float(np.sin(sweep * share))
            x, y = cx + rx * cos - ry * sin, cy + rx * sin + ry * cos
        return x, y, height

    def moment_of_line(self, line: int) -> float | None:
        """Return when a line begins to act, else the next line of the text that acts; None after the last of them."""
        later = self.line[self.line >= line]
        if not len(later):
            return None
        return float(self.begin[int(np.argmax(self.line == later.min()))])

    def moment_near(self, x: float, y: float, *, reach: float = inf, burning: bool = True) -> float | None:
        """Return when the tip is nearest to a place, None beyond `reach` mm.

        Only moves with the torch on count; where none of them is within reach and `burning` is false, all moves do.
        """
        lasting = self.end - self.begin > _NOTHING
        best = self._nearest(np.flatnonzero(lasting & self.torch), x, y)
        if not burning and best[1] > reach:
            best = self._nearest(np.flatnonzero(lasting), x, y)
        return None if best[1] > reach or best[0] is None else best[0]

    def _nearest(self, rows: Ints, x: float, y: float) -> tuple[float | None, float]:
        """Return when the tip is nearest to a place within some rows, and how near."""
        if not len(rows):
            return None, inf
        a, b = self.start[rows, :2], self.finish[rows, :2]
        way = b - a
        squared = np.maximum((way**2).sum(axis=1), _NOTHING)
        share = np.clip(((np.array([x, y]) - a) * way).sum(axis=1) / squared, 0.0, 1.0)
        off = np.hypot(*(a + way * share[:, None] - [x, y]).T)
        arcs = self.sweep[rows] != 0.0
        off[arcs], share[arcs] = self._arcs_near(rows[arcs], x, y)
        best = int(np.argmin(np.round(off, 6)))
        row = int(rows[best])
        return float(self.begin[row] + (self.end[row] - self.begin[row]) * share[best]), float(off[best])

    def _arcs_near(self, rows: Ints, x: float, y: float) -> tuple[Floats, Floats]:
        """Return the distances of a place from arcs and the shares of the arcs where they are nearest."""
        centre, sweep = self.center[rows], self.sweep[rows]
        spoke = self.start[rows, :2] - centre
        radius = np.hypot(*spoke.T)
        there = np.array([x, y]) - centre
        first = np.arctan2(spoke[:, 1], spoke[:, 0])
        turn = np.mod((np.arctan2(there[:, 1], there[:, 0]) - first) * np.sign(sweep), 2 * np.pi)
        beyond = np.where(2 * np.pi - turn < turn - np.abs(sweep), 0.0, 1.0)
        share = np.where(turn > np.abs(sweep), beyond, turn / np.abs(sweep))
        angle = first + sweep * share
        at = centre + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        return np.hypot(*(at - [x, y]).T), share

    def burning(self) -> Floats:
        """Return begin and end (k, 2) of each stretch of time with the torch on, in order."""
        edges = np.diff(np.concatenate([[False], self.torch, [False]]).astype(np.int8))
        first, last = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
        return np.column_stack([self.begin[first], self.end[last]])

    @property
    def plate_known(self) -> bool:
        """Whether the program tells where the plate is: it lights up or finds it, or moves in Z at all.

        A run that leaves Z alone keeps the head as high as it was put by hand.
        """
        tells = np.isin(self.kind, (Step.TORCH_ON, Step.DATUM))
        return bool(tells.any() or (np.abs(self.finish[:, 2] - self.start[:, 2]) > _NOTHING).any())

    def heights(self) -> Floats:
        """Return the height over time as a polyline (m, 2) of seconds and mm, without points if no plate is known."""
        if not self.plate_known:
            return np.empty((0, 2))
        both = np.empty((2 * len(self), 2))
        both[0::2, 0], both[1::2, 0] = self.begin, self.end
        both[0::2, 1], both[1::2, 1] = self.start[:, 2], self.finish[:, 2]
        keep = np.ones(len(both), dtype=bool)
        keep[1:] = (np.abs(np.diff(both, axis=0)) > _NOTHING).any(axis=1)
        return both[keep]


def timeline(trace: Trace, machine: Machine, control: Dialect | None = None) -> Timeline:
    """Return the rows of a trace over time, with heights over the plate that the program finds."""
    seconds = cut_times(trace, machine, control)
    end = np.cumsum(seconds)
    dx, dy = trace.xy_origin
    shift = np.column_stack([np.full(len(trace), dx), np.full(len(trace), dy), _plate(trace)])
    return Timeline(
        begin=end - seconds,
        end=end,
        start=trace.start - shift,
        finish=trace.end - shift,
        center=trace.center - [dx, dy],
        sweep=trace.sweep,
        torch=trace.torch,
        line=trace.line,
        kind=trace.kind,
    )


def _plate(trace: Trace) -> Floats:
    """Return for each row the machine Z of the plate, as found for the next light-up, then as last found.

    Without a light-up (a dry run): where the program's own Z frame has its zero.
    """
    zero: Floats = trace.end[:, 2] - trace.frame_z[:, 1]
    lights = np.flatnonzero(trace.kind == Step.TORCH_ON)
    if not len(lights):
        return zero
    following = np.searchsorted(lights, np.arange(len(trace)))
    return np.asarray(zero[lights[np.minimum(following, len(lights) - 1)]])
