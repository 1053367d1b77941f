"""What a program asks of power source, torch and air: torch time in any ten minutes, longest cut, air drawn.

A duty rating is a share of ten minutes at one current; heat goes with the square of the current. Air is drawn while
the torch is on and in post-flow, and comes back as the compressor delivers. Free air is counted at 1 bar, so that a
tank of 24 l that sinks by 1 bar has given 24 l.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.timing import cut_times
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Floats, Ints
from kerfproof.shop.profile import Machine

WINDOW = 600.0
"""A duty rating counts ten minutes, s."""
FULL_AMBIENT = 40.0
"""Duty is rated at 40 degrees Celsius by the standard (IEC 60974-1, from memory)."""
COOL_RATING = 0.8
"""What a rating at 20 to 25 degrees is worth in a warm shop (common practice, no source)."""
REST_STATED = re.compile(r"\bREST\b\D*?(\d+(?:\.\d+)?)\s*(MIN|S)\b", re.IGNORECASE)
"""The comment of a stop to rest, with its time: without one nobody knows how long it is meant to be."""
STOPS = frozenset({"M0", "M60"})
"""Words at which the program waits for the operator whatever the switches of the control are."""


@dataclass(frozen=True, slots=True, eq=False)
class Burns:
    """The stretches of time with the torch on: `begin` and `end` (k,) seconds, `row` (k,) the last row of each."""

    begin: Floats
    end: Floats
    row: Ints

    @property
    def seconds(self) -> Floats:
        """How long each stretch lasts."""
        return self.end - self.begin

    def lit_until(self, at: Floats) -> Floats:
        """Return the seconds with the torch on up to each time."""
        if not len(self.begin):
            return np.zeros(np.shape(at))
        clock = np.column_stack([self.begin, self.end]).ravel()
        steps = np.column_stack([np.zeros(len(self.begin)), self.seconds]).ravel()
        out: Floats = np.interp(at, clock, np.cumsum(steps), left=0.0)
        return out


@dataclass(frozen=True, slots=True)
class Load:
    """What a program asks of the shop. Times s, air in litres of free air; None: unknown.

    `worst_s` is the most torch time in any ten minutes, `worst_row` the trace row at which it is reached,
    `allowed_s` what the rating allows, `longest_s` the longest time from light to off, `longest_row` its last row.
    `tank_bar` is the lowest tank pressure on the way, `tank_row` where it first falls under the least.
    """

    run_s: float
    torch_s: float
    worst_s: float
    worst_row: int
    allowed_s: float
    longest_s: float
    longest_row: int
    air_l: float | None = None
    tank_bar: float | None = None
    tank_row: int | None = None
    longest_air_s: float | None = None
    """The longest cut that a full tank lasts for; infinite where the compressor keeps up."""


def allowed_seconds(machine: Machine, amps: float | None) -> float:
    """Return the torch time in ten minutes that the rating allows at a current (None: that of the rating)."""
    share = machine.duty_percent / 100.0 * (machine.duty_amps / (amps or machine.duty_amps)) ** 2
    if machine.duty_ambient_c is not None and machine.duty_ambient_c < FULL_AMBIENT:
        share *= COOL_RATING
    return min(WINDOW, WINDOW * share)


def sure_seconds(machine: Machine, amps: float | None) -> float:
    """Return the torch time in ten minutes that is safe even if a rating of unknown temperature is one in cool air."""
    most = allowed_seconds(machine, amps)
    return most if machine.duty_ambient_c is not None or most >= WINDOW else COOL_RATING * most


def stated_rests(trace: Trace) -> tuple[tuple[int, float], ...]:
    """Return the stops at which the operator is told to rest: row, and the seconds that its comment says.

    A comment counts for the first stop behind it. More than `WINDOW` makes no difference.
    """
    comments, used = trace.comments, 0  # in order of their lines
    out = []
    for row in np.flatnonzero(trace.kind == Step.STOP).tolist():
        line = int(trace.line[row])
        last = bisect_left(comments, (line + 1, ""))
        near = comments[max(used, bisect_left(comments, (line - 2, ""))) : last]
        used = max(used, last)
        asked = [found for _, text in near if (found := REST_STATED.search(text))]
        if asked and trace.text[row] in STOPS:
            number, unit = asked[-1].groups()
            out.append((row, min(WINDOW, float(number) * (60.0 if unit.upper() == "MIN" else 1.0))))
    return tuple(out)


def rest_seconds(trace: Trace, seconds: Floats) -> Floats:
    """Return the `seconds` of each row (n,) if the operator rests at stops as long as their comments say."""
    seconds = seconds.copy()
    for row, rest in stated_rests(trace):
        seconds[row] += rest
    return seconds


def resting_words(rests: tuple[tuple[int, float], ...]) -> str:
    """Return what a verdict relies on where only rests at stops keep a program within its limits."""
    total = f"{sum(seconds for _, seconds in rests) / 60:.1f} min"
    where = "at the stop" if len(rests) == 1 else f"at {len(rests)} stops"
    return f"only if the operator rests {where} as the program asks, {total} in all: a stop lets go at once"


def burns_of(trace: Trace, seconds: Floats) -> Burns:
    """Return the stretches of a trace with the torch on, rows lasting `seconds` (n,)."""
    end = np.cumsum(seconds)
    edges = np.diff(np.concatenate([[False], trace.torch, [False]]).astype(np.int8))
    first, last = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    return Burns((end - seconds)[first], end[last], last.astype(np.int64))


def load_of(
    trace: Trace, machine: Machine, amps: float | None, control: Dialect | None = None, *, rested: bool = True
) -> Load:
    """Return what the program of a trace asks of power source and air.

    `rested`: the operator rests at stops as long as their comments say; else only the program's own dwells are rest.
    """
    seconds = cut_times(trace, machine, control)
    seconds = rest_seconds(trace, seconds) if rested else seconds
    burns, total = burns_of(trace, seconds), float(seconds.sum())
    allowed = allowed_seconds(machine, amps)
    if not len(burns.row):
        return Load(total, 0.0, 0.0, -1, allowed, 0.0, -1, None if machine.air_flow_l_min is None else 0.0)
    worst = worst_windows(burns)
    w, k = int(np.argmax(np.round(worst, 6))), int(np.argmax(np.round(burns.seconds, 6)))
    air, bar, row = _air(burns, machine)
    return Load(
        run_s=total,
        torch_s=float(burns.seconds.sum()),
        worst_s=float(worst[w]),
        worst_row=int(burns.row[w]),
        allowed_s=allowed,
        longest_s=float(burns.seconds[k]),
        longest_row=int(burns.row[k]),
        air_l=air,
        tank_bar=bar,
        tank_row=row,
        longest_air_s=longest_on_air(machine),
    )


def worst_windows(burns: Burns) -> Floats:
    """Return for each stretch the torch time in the ten minutes that end with it (k,).

    The most in any ten minutes is among them: while the torch burns, a window that moves on gains at least what it
    loses, and while it does not, it can only lose.
    """
    out: Floats = burns.lit_until(burns.end) - burns.lit_until(burns.end - WINDOW)
    return out


# --- air ------------------------------------------------------------------------------------------------------


def tank_litres(machine: Machine) -> float | None:
    """Return the free air that the tank gives between cut-in and least pressure, None where that is unknown."""
    if machine.tank_l is None or machine.tank_bar is None or machine.air_least_bar is None:
        return None
    return max(0.0, machine.tank_l * (machine.tank_bar - machine.air_least_bar))


def longest_on_air(machine: Machine) -> float | None:
    """Return how long one cut may last from a full tank, s; None where that is unknown."""
    full = tank_litres(machine)
    if full is None or machine.air_flow_l_min is None or machine.compressor_l_min is None:
        return None
    net = (machine.air_flow_l_min - machine.compressor_l_min) / 60.0
    return float("inf") if net <= 0 else max(0.0, full / net)


def _air(burns: Burns, machine: Machine) -> tuple[float | None, float | None, int | None]:
    """Return the air drawn, the lowest tank pressure, and the row of the cut in which it falls under the least."""
    flow = machine.air_flow_l_min
    if flow is None:
        return None, None, None
    begin, end = flowing(burns, machine)
    drawn = float((end - begin).sum()) * flow / 60.0
    full, delivery = tank_litres(machine), machine.compressor_l_min
    if full is None or delivery is None or machine.tank_l is None or machine.tank_bar is None:
        return drawn, None, None
    left = tank_after(begin, end, full, flow / 60.0, delivery / 60.0)
    low = np.flatnonzero(left < -1e-9)
    row = int(burns.row[np.searchsorted(burns.begin, begin[low[0]], side="right") - 1]) if len(low) else None
    least = max(0.0, machine.tank_bar - (full - float(left.min())) / machine.tank_l)
    return drawn, least, row


def flowing(burns: Burns, machine: Machine) -> tuple[Floats, Floats]:
    """Return begin and end (m,) of each stretch with air flowing: torch on and post-flow, joined where they meet."""
    end = burns.end + machine.air_postflow_s
    apart = np.concatenate([[True], burns.begin[1:] > end[:-1]])
    last = np.concatenate([np.flatnonzero(apart)[1:] - 1, [len(end) - 1]])
    return burns.begin[apart], end[last]


def tank_after(begin: Floats, end: Floats, full: float, flow: float, delivery: float) -> Floats:
    """Return what is left of `full` litres after each stretch (m,), below zero where it was not enough (l, l/s)."""
    out, level, at = np.empty(len(begin)), full, 0.0
    for k, (start, stop) in enumerate(zip(begin.tolist(), end.tolist(), strict=True)):
        level = min(full, level + delivery * (start - at))
        level = min(full, level + (delivery - flow) * (stop - start))
        out[k], at = level, stop
    return out
