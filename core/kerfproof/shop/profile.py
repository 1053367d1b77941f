"""The machine: table, control, torch and touch-off, as the planner, the writer and the proof see it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from kerfproof.errors import RuleChoice


class StartKind(StrEnum):
    """How the arc is lit."""

    CONTACT = "contact"
    """The tip must touch the plate."""
    PILOT = "pilot"
    """A pilot arc jumps over; the tip must not touch."""


class TouchOff(StrEnum):
    """How the plate is found."""

    FLOAT = "float"
    """A floating head on a switch: the carriage runs on by `float_travel` after the tip touches."""
    OHMIC = "ohmic"
    """A sense circuit through the tip on a fixed head."""
    NONE = "none"
    """Not at all: the operator sets Z zero on the plate by hand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine. Lengths mm, feeds mm/min, times s, accelerations mm/s2; all else says its unit.

    Heights are of the tip over the plate with the tip touching at 0, negative into the float.
    """

    name: str
    title: str = ""
    note: str = ""

    # Table
    travel_x: float
    travel_y: float
    travel_z: float
    rapid_mm_min: float
    z_rapid_mm_min: float
    acceleration_mm_s2: float
    z_acceleration_mm_s2: float
    slat_pitch: float = 0.0
    """Distance between slats, 0 if unknown."""
    slat_offset: float = 0.0

    # Control
    dialect: str
    """Name of a dialect."""
    inches: bool
    """Whether programs are written in inches."""
    arc_centers_absolute: bool | None = None
    """None: as the dialect says."""
    dwell_in_ms: bool | None = None
    path_tolerance: float | None = 0.05
    """Corner tolerance for path blending; None for exact path."""
    lookahead_blocks: int = 16
    work_offset: str = "G54"
    end_word: str | None = None
    xy_zero_in_g92: bool = False
    """Whether the person's XY zero lives in G92; then no word may clear all axes."""
    header_lines: tuple[str, ...] = ()
    footer_lines: tuple[str, ...] = ()
    extension: str = ".nc"
    tip_stops: bool | None = None
    """Whether an optional stop stands before every light-up; None: only where the control can't guard itself."""

    # Z reference
    z_homed: bool
    """Whether machine Z zero is the top of travel, known by homing."""
    park_height_max: float = 60.0
    """The highest the operator may park the tip over the plate before start."""
    travel_height: float = 25.0
    """S: tip over the plate between cuts."""
    hop: bool = True
    """Whether it goes up only as far as the way to the next cut asks for."""
    plate_height_band: float = 4.0
    """W: how far the plate may lie above or below the last touch-off."""
    slat_top: float | None = None
    """Machine Z of the top of the slats on a homed machine; None: nobody knows."""
    end_clears_datum: bool = True

    # Torch
    start: StartKind
    chart: str = ""
    """Name of the cut chart to take where the person names none."""
    torch_on: str = "M3"
    torch_on_speed: float | None = None
    """S word that the output needs, None if it needs none."""
    torch_on_delay_s: float = 0.0
    """Delay that the control itself adds to the on word."""
    torch_off: str = "M5"
    arc_wait: str = ""
    """Line that waits for arc transfer with a time limit and stops without it; empty: wait by time."""
    light_delay_s: float = 0.4
    """Trigger to arc: relay, gas preflow, ignition; nothing moves until then."""
    arc_out_s: float = 0.3
    min_off_time_s: float = 1.0
    rise_feed_mm_min: float = 900.0
    preload: float = 1.0
    """p: how far below zero the seated tip is held at light-up."""
    tip_face_radius: float = 6.0
    swirl_clockwise: bool = True
    """Clockwise swirl: the square edge is right of travel."""
    max_amps: float = 50.0
    """What torch and supply give."""
    duty_percent: float = 35.0
    """Rated torch-on share of ten minutes at `duty_amps`."""
    duty_amps: float = 50.0
    height_control_on: str = ""
    height_control_off: str = ""
    height_control_lock_s: float = 0.5

    # Touch-off
    touch_off: TouchOff
    float_travel: float = 19.05
    """f: carriage travel from tip contact to switch trip (0.75 in); measured at `float_feed_mm_min`."""
    float_stroke: float = 30.0
    """Carriage travel from tip contact to the hard stop of the float."""
    float_feed_mm_min: float = 150.0
    float_acceleration_mm_s2: float | None = None
    """Acceleration of Z when the float was measured; None: nobody noted it."""
    float_spread: float | None = None
    """Largest less smallest trip of repeated touches at `float_feed_mm_min`; None: not measured."""
    float_note: str = ""
    """When and how the float was measured."""
    switch_hysteresis: float = 1.0
    touch_fast_mm_min: float = 1000.0
    touch_slow_mm_min: float = 150.0
    touch_latency_s: float = 0.01
    sense_on: str = ""
    sense_off: str = ""
    retouch_distance: float = 0.0
    """Touch-off of a pilot torch is left out when the last one is nearer than this; 0: never left out."""
    leave_touch_off_out: bool = False
    """Whether the shop consents that a contact torch on a floating head lights near the last touch-off without one."""

    # Supply and air
    supply_note: str = ""
    """What the mains, the fuse and the cord give, and at which current it was found to hold."""
    duty_ambient_c: float | None = None
    """Air temperature at which the duty is rated, degrees Celsius (40 by the standard); None: nobody knows."""
    air_flow_l_min: float | None = None
    """Free air that the torch takes while it cuts and in post-flow; None: unknown."""
    air_postflow_s: float = 15.0
    compressor_l_min: float | None = None
    """Free air that the compressor delivers."""
    tank_l: float | None = None
    tank_bar: float | None = None
    """Pressure in the tank at which the compressor cuts in: the least that a cut can begin with."""
    air_least_bar: float | None = None
    """Pressure in the tank under which the torch no longer gets its flow."""

    # Lost steps, noise and wear: what a program does so that they are seen
    settle_s: float = 0.0
    """Time after arc-off before any input is read."""
    witness_every: int = 0
    """After so many cuts the torch returns to the witness mark for a look; 0: never."""
    witness_x: float = 0.0
    witness_y: float = 0.0
    """Where the witness mark lies, program coordinates."""
    first_looks: int = 0
    """After so many first cuts an optional stop asks whether the torch lit and cut through."""
    tip_changes: bool = False
    """Whether the program stops between parts for a new tip, as often as the chart's tip life asks."""
    tip_change_x: float | None = None
    """Where the torch goes for a new tip, program coordinates; None: it stays where the cut ended."""
    tip_change_y: float | None = None

    square_note: str = field(default="", repr=False)
    """When and how squareness and scale of the axes were measured; no part of what the machine is."""
    rules: tuple[RuleChoice, ...] = field(default=(), repr=False)
    """Rules on programs that this machine weighs otherwise; no part of what the machine is."""

    @property
    def back_off(self) -> float:
        """How far the carriage backs off between two touches: the switch lets go, the tip stays seated."""
        return self.switch_hysteresis + 1.0 if self.touch_off is TouchOff.FLOAT else 2.0

    @property
    def trip_depth(self) -> float:
        """How far below tip contact the touch-off trips: the float, or nothing on a fixed head."""
        return self.float_travel if self.touch_off is TouchOff.FLOAT else 0.0

    def overrun(self, feed_mm_min: float) -> float:
        """Return how far Z runs on after a trip at this feed: latency and stopping distance v2/2a."""
        v = feed_mm_min / 60.0
        return v * self.touch_latency_s + v * v / (2 * self.z_acceleration_mm_s2)

    def read_late(self, feed_mm_min: float) -> float:
        """Return how much lower a trip is read at this feed than at the feed that gives the datum, by the latency."""
        own = self.float_feed_mm_min if self.touch_off is TouchOff.FLOAT else self.touch_slow_mm_min
        return (feed_mm_min - own) / 60.0 * self.touch_latency_s
