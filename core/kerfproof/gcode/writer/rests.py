"""How long the torch must rest before each cut so that neither the duty rating nor the air is overdrawn."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import numpy as np

from kerfproof.cut_plan import CutPlan, Pause, PauseKind
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.load import (
    WINDOW,
    burns_of,
    rest_seconds,
    sure_seconds,
    tank_litres,
)
from kerfproof.gcode.timing import cut_times
from kerfproof.gcode.trace import Trace
from kerfproof.job.job import Mode, Rests
from kerfproof.shop.profile import Machine

Made = TypeVar("Made")

STEP = 30.0
"""Rests are whole half minutes, so that a person can time them."""


def rests_needed(
    trace: Trace, machine: Machine, amps: float | None, control: Dialect | None = None
) -> tuple[float, ...]:
    """Return the seconds to rest before each torch-on stretch of a program, 0 for most.

    A cut that is longer by itself than rating or tank allow is begun rested; no rest can help it.
    """
    burns = burns_of(trace, rest_seconds(trace, cut_times(trace, machine, control)))
    duty, air = _Duty(sure_seconds(machine, amps)), _Air(machine)
    out: list[float] = []
    shift = 0.0
    for begin, end in zip(burns.begin.tolist(), burns.end.tolist(), strict=True):
        wait = max(duty.wait(begin + shift, end - begin), air.wait(begin + shift, end - begin))
        rest = STEP * math.ceil(wait / STEP - 1e-9) if wait > 1e-6 and out else 0.0
        shift += rest
        duty.burn(begin + shift, end + shift)
        air.burn(begin + shift, end + shift)
        out.append(rest)
    return tuple(out)


def with_rests(plan: CutPlan, trace: Trace, control: Dialect, choice: Rests) -> CutPlan:
    """Return the plan with rests between cuts where they are asked for, the very same where none is needed.

    `trace` is that of its program without rests.
    """
    if choice is Rests.TELL or plan.mode is not Mode.CUT:
        return plan
    needed = rests_needed(trace, plan.machine, plan.process.amps, control)
    rests = [
        Pause(after=k - 1, kind=PauseKind.REST, seconds=seconds, dwell=choice is Rests.DWELL)
        for k, seconds in enumerate(needed)
        if seconds > 0
    ]
    if not rests:
        return plan
    return replace(plan, pauses=tuple(sorted((*plan.pauses, *rests), key=lambda pause: pause.after)))


def rested(
    plan: CutPlan, control: Dialect, choice: Rests, prove: Callable[[CutPlan], Made], trace_of: Callable[[Made], Trace]
) -> Made:
    """Return what `prove` makes of a plan, and where the torch has to recover, of the plan with rests put in.

    The one way back from a proof to a plan: how long each cut takes, only its program tells.
    """
    made = prove(plan)
    with_them = with_rests(plan, trace_of(made), control, choice)
    return made if with_them is plan else prove(with_them)


class _Duty:
    """The torch time so far, and how long to wait until the next cut fits into ten minutes."""

    def __init__(self, allowed: float) -> None:
        self.allowed = allowed
        self.clock, self.lit = [0.0], [0.0]

    def burn(self, begin: float, end: float) -> None:
        self.clock += [begin, end]
        self.lit += [self.lit[-1], self.lit[-1] + end - begin]

    def wait(self, begin: float, seconds: float) -> float:
        """Return how much later than `begin` a cut of `seconds` must start."""
        if self.allowed >= WINDOW or len(self.clock) == 1:
            return 0.0
        forget = self.lit[-1] - max(0.0, self.allowed - seconds)  # so much must lie before the window
        if forget <= 0:
            return 0.0
        k = int(np.searchsorted(self.lit, forget - 1e-9))
        over = self.clock[k] - (self.lit[k] - forget)
        return max(0.0, over + WINDOW - (begin + seconds))


class _Air:
    """The air left in the tank, and how long to wait until it lasts for the next cut."""

    def __init__(self, machine: Machine) -> None:
        full, flow, delivery = tank_litres(machine), machine.air_flow_l_min, machine.compressor_l_min
        self.known = full is not None and flow is not None and delivery is not None
        self.full, self.flow, self.delivery = full or 0.0, (flow or 0.0) / 60.0, (delivery or 0.0) / 60.0
        self.after = machine.air_postflow_s
        self.level, self.until = self.full, 0.0
        """What is left at the time `until`, when air last stopped flowing."""

    def _at(self, time: float) -> float:
        """Return what is left at a time; before `until` post-flow is cut short by the next light."""
        if time < self.until:
            return min(self.full, self.level + (self.flow - self.delivery) * (self.until - time))
        return min(self.full, self.level + self.delivery * (time - self.until))

    def burn(self, begin: float, end: float) -> None:
        level = self._at(begin)
        self.level = min(self.full, level + (self.delivery - self.flow) * (end + self.after - begin))
        self.until = end + self.after

    def wait(self, begin: float, seconds: float) -> float:
        """Return how much later than `begin` a cut of `seconds` must start."""
        net = self.flow - self.delivery
        if not self.known or net <= 0 or self.delivery <= 0:
            return 0.0
        need = min(self.full, net * (seconds + self.after))
        if self._at(begin) >= need - 1e-9:
            return 0.0
        return max(0.0, self.until + (self.full - self.level) / self.delivery - begin)  # a full tank: fewer rests
