"""What a program is written from, with the numbers that follow from it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kerfproof.cut_plan import CutPlan, StartTrial
from kerfproof.errors import KerfproofError
from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss
from kerfproof.gcode.words import NumberFormat
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, TouchOff
from kerfproof.shop.touch_limits import FIXED_FEED, leaves_out_within, one_touch_feed

TOP = 0.0
"""Machine Z of the top of travel on a homed machine."""


def _check_lines(machine: Machine) -> None:
    """Raise if a line that the machine file gives can't stand in a program."""
    names = ("torch_on", "torch_off", "arc_wait", "height_control_on", "height_control_off", "sense_on", "sense_off")
    given = [(name, getattr(machine, name)) for name in names]
    given += [("header_lines", line) for line in machine.header_lines]
    given += [("footer_lines", line) for line in machine.footer_lines]
    for name, line in given:
        if not line.isascii() or len(line.splitlines()) > 1:
            raise KerfproofError(
                f"{name} must be one line of plain ASCII, not {line!r}", where=f"machine {machine.name}"
            )


@dataclass(frozen=True, slots=True)
class WriteContext:
    """Machine, process and control of one program. Lengths mm, feeds mm/min, times s."""

    machine: Machine
    process: Process
    control: Dialect
    words: NumberFormat

    @staticmethod
    def of(plan: CutPlan, control: Dialect) -> WriteContext:
        """Return what `plan` is to be written from.

        Raises
        ------
        KerfproofError
            If a line that the machine file gives is not one line of ASCII.
        """
        _check_lines(plan.machine)
        return WriteContext.made_for(plan.machine, plan.process, control)

    @staticmethod
    def made_for(machine: Machine, process: Process, control: Dialect) -> WriteContext:
        """Return what any program of a machine and a process is written from."""
        decimals = control.decimals_inch if machine.inches else control.decimals_mm
        return WriteContext(machine, process, control, NumberFormat(machine.inches, decimals, control.dwell_in_ms))

    def tried(self, trial: StartTrial | None) -> WriteContext:
        """Return the same with the values that a test piece tries."""
        if trial is None:
            return self
        machine, process = self.machine, self.process
        if trial.light_delay_s is not None:
            machine = replace(machine, light_delay_s=trial.light_delay_s)
        if trial.preload is not None:
            machine = replace(machine, preload=trial.preload)
        if trial.rise_feed_mm_min is not None:
            machine = replace(machine, rise_feed_mm_min=trial.rise_feed_mm_min)
        if trial.pierce_height is not None:
            process = replace(process, pierce_height=trial.pierce_height)
        if trial.pierce_delay_s is not None:
            process = replace(process, pierce_delay_s=trial.pierce_delay_s)
        return WriteContext(machine, process, self.control, self.words)

    # --- the control ----------------------------------------------------------------------------------

    @property
    def reads_trip(self) -> bool:
        """Whether the program can go back to where the touch-off tripped."""
        return self.control.expressions and self.control.trip_parameter is not None

    @property
    def guarded(self) -> bool:
        """Whether the program can stop itself after a bad touch-off."""
        return self.reads_trip and self.control.guard is not Guard.NONE

    @property
    def unguarded(self) -> bool:
        """Whether nothing but the operator notices that the plate was missed."""
        if self.machine.touch_off is TouchOff.NONE:
            return True
        return self.control.probe_miss is ProbeMiss.SILENT and not self.guarded

    @property
    def stops_at_each(self) -> bool:
        """Whether an optional stop stands before every light-up."""
        return self.unguarded if self.machine.tip_stops is None else self.machine.tip_stops

    @property
    def homed(self) -> bool:
        """Whether the program can go to the top of travel, whatever the work frame is."""
        return self.machine.z_homed and bool(self.control.machine_frame_word)

    # --- heights --------------------------------------------------------------------------------------

    @property
    def preload(self) -> float:
        """How far below zero the seated tip is held at light-up, at most a third of the float."""
        return min(self.machine.preload, self.machine.float_travel / 3.0)

    @property
    def pilot_height(self) -> float:
        """Where a pilot arc lights: at least 2 mm up, nearer it burns the tip (common practice, no source)."""
        return max(self.process.pierce_height or 2.0 * self.process.cut_height, 2.0)

    @property
    def pierce_height(self) -> float:
        """Where a contact torch stands while it pierces; 0: at cut height.

        Above 3 mm the blow-back of a pierce at cut height spoils the tip, so it rises to twice the cut height
        where the chart names none (common practice, no source).
        """
        if self.process.pierce_height > self.process.cut_height:
            return self.process.pierce_height
        return 2.0 * self.process.cut_height if self.process.thickness > 3.0 else 0.0

    def search_depth(self, height: float) -> float:
        """Return how far down to search for a plate expected `height` below: past the float, the band and 1 mm."""
        return height + self.machine.trip_depth + self.machine.plate_height_band + 1.0

    # --- feeds ----------------------------------------------------------------------------------------

    def z_feed(self, feed: float) -> float:
        """Return a Z feed that the machine can do."""
        return min(feed, self.machine.z_rapid_mm_min)

    @property
    def touch_fast(self) -> float:
        """Feed of the first touch: 300 at most on a fixed head, and slow enough for the float to take the overrun."""
        m = self.machine
        if m.touch_off is not TouchOff.FLOAT:
            return min(m.touch_fast_mm_min, FIXED_FEED)
        spare = max((m.float_stroke - m.float_travel) / 2.0, 0.01)
        if m.overrun(m.touch_fast_mm_min) <= spare:
            return m.touch_fast_mm_min
        a, latency = m.z_acceleration_mm_s2, m.touch_latency_s
        speed = a * (math.sqrt(latency * latency + 2.0 * spare / a) - latency)  # v latency + v2 / 2a = spare
        return math.floor(speed * 60.0)

    @property
    def touch_once(self) -> float | None:
        """Feed of a touch that needs no second one, None where the head was not found to be so steady."""
        return one_touch_feed(self.machine, self.guarded)

    @property
    def leaves_out_within(self) -> float:
        """How near to the last touch-off one is left out, 0: nowhere."""
        return leaves_out_within(self.machine, self.process.thickness, self.guarded)

    @property
    def touch_slow(self) -> float:
        """Feed of the second touch: 120 at most on a fixed head, unless the shop wants all touches at one feed.

        It does so to measure whether one touch is enough; the program then goes back to the trip.
        """
        slow = self.machine.touch_slow_mm_min
        if self.machine.touch_off is TouchOff.FLOAT:
            return slow
        one_feed = self.reads_trip and slow >= self.machine.touch_fast_mm_min
        return min(slow, FIXED_FEED if one_feed else 120.0)

    # --- times ----------------------------------------------------------------------------------------

    @property
    def light_wait(self) -> float:
        """Dwell after the on word: the light delay less what the control waits by itself."""
        return max(0.0, self.machine.light_delay_s - self.machine.torch_on_delay_s)

    def rise_time(self, rise: float) -> float:
        """Return how long a rise takes at the rise feed, without acceleration."""
        return rise / self.z_feed(self.machine.rise_feed_mm_min) * 60.0
