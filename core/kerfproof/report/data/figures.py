"""What a program comes to: starts, lengths, times, and how much of it runs slower than it should."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.load import WINDOW, allowed_seconds
from kerfproof.gcode.machine_control import control_of, dialects
from kerfproof.gcode.timing import below_feed, speeds
from kerfproof.gcode.trace import Step
from kerfproof.geom.swept import swept_area
from kerfproof.proof.evidence.evidence import half_kerfs
from kerfproof.proof.evidence.runs import row_lengths, torch_path
from kerfproof.proof.proof import Proof
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

SLOW = 0.5
"""Below this share of its feed a cut counts as slow: the kerf widens there."""


@dataclass(frozen=True, slots=True)
class Figures:
    """Lengths mm, times s. `touch_offs` counts searches that follow no other at their place."""

    pierces: int
    touch_offs: int
    cut_length: float
    slow_length: float
    """How much of the cut runs at less than half its feed, for acceleration, corners and arcs."""
    torch_on_s: float
    dwell_s: float
    run_s: float

    @property
    def idle_s(self) -> float:
        """Seconds a start on everything but the arc: touch-off, rise, travel, waits; 0 without starts."""
        return (self.run_s - self.torch_on_s) / self.pierces if self.pierces else 0.0

    @property
    def arc_share(self) -> float:
        """Which share of the run the torch burns."""
        return self.torch_on_s / self.run_s if self.run_s > 0 else 0.0


def figures(proof: Proof, machine: Machine) -> Figures:
    """Return the figures of a proven program on this machine; stops for the operator count nothing."""
    trace = proof.trace
    control = control_of(machine) if machine.dialect in dialects() else None
    v = speeds(trace, machine, control)
    seconds, slow = v.seconds, below_feed(trace, v, SLOW)
    probes = np.flatnonzero(trace.kind == Step.PROBE)
    places = np.round(trace.end[probes, :2], 2)
    again = (np.abs(np.diff(places, axis=0)) < 0.01).all(axis=1).sum() if len(places) > 1 else 0
    return Figures(
        pierces=int((trace.kind == Step.TORCH_ON).sum()),
        touch_offs=int(len(probes) - again),
        cut_length=sum(run.length for run in proof.runs),
        slow_length=float(np.minimum(slow, row_lengths(trace))[trace.torch].sum()),
        torch_on_s=float(seconds[trace.torch].sum()),
        dwell_s=float(trace.value[trace.kind == Step.DWELL].sum()),
        run_s=float(seconds.sum()),
    )


def duty_share(machine: Machine, amps: float | None) -> float:
    """Return which share of the time the torch may burn at a current by the duty rating; at 1 nothing is capped."""
    return allowed_seconds(machine, amps) / WINDOW


def idle_words(idle_s: float, arc_share: float, machine: Machine, amps: float | None) -> str:
    """Return idle seconds a start, the arc's share of the run, and where the duty rating caps what can be saved."""
    told = f"{idle_s:.1f} s a start, arc {arc_share:.0%} of the run"
    most = duty_share(machine, amps)
    if most >= 1.0:
        return told
    return f"{told}; a {machine.duty_percent:g} % unit caps the gain: arc {most:.0%} at {amps or machine.duty_amps:g} A"


def swept(proof: Proof, process: Process) -> float:
    """Return the area (mm2) of plate that a proven program burns away, seen from above."""
    path = torch_path(proof.trace, proof.runs, half_kerfs(proof.trace, proof.runs, process))
    return swept_area(path.segments, path.half_kerf)
