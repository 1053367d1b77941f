"""What a control understands: the differences between dialects of the control language, as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class ProbeMiss(StrEnum):
    """What a control does when a probing move ends without contact."""

    STOPS = "stops"
    ALARM = "alarm"
    SILENT = "silent"


class Guard(StrEnum):
    """How a program can stop itself when a touch-off went wrong."""

    SQRT = "sqrt"
    """The root of a negative number is an error of the language."""
    COMPARE = "compare"
    """A compare-and-stop line of the control, from templates."""
    NONE = "none"
    """Not at all: only the operator can."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """One control's dialect. Words are written as given; templates hold ``{name}`` places for numbers."""

    name: str
    title: str
    probe_word: str
    """Straight probe or skip move."""
    probe_miss: ProbeMiss
    expressions: bool
    """Whether ``#n``, ``[...]`` and functions can be written."""
    trip_parameter: int | None
    """Parameter with the Z of the last trip, in the present frame and program units; None if unreadable."""
    guard: Guard
    guard_below: str = ""
    """Compare guard: template with {value} and {limit} of a line that stops the control when value < limit.

    {value} becomes a parameter or a function value (``#101``, ``ABS[#101+44.05]``), {limit} a number.
    """
    guard_above: str = ""
    """Compare guard: the same for value > limit."""
    datum_word: str = "G92 Z{z}"
    """Template that makes the present Z read {z}; may hold {system}, the number of the work offset (1 is G54).

    Names only Z.
    """
    datum_clear: str = "G92.1"
    """Clears the Z shift at the end; empty where `datum_word` leaves a work offset and nothing clears it."""
    datum_clear_all_axes: bool = True
    """Whether `datum_clear` also clears shifts of X and Y."""
    datum_survives_end: bool = False
    """Whether the shift is still there after the program end and power-off."""
    machine_frame_word: str = "G53"
    """One-line move in machine coordinates; empty if the control has none."""
    arc_centers_absolute: bool = False
    arc_center_word: str = ""
    """Word that states the arc-centre mode of this dialect (G91.1 or G90.1), empty if the dialect has none.

    Where it is not empty, G90.1 or G91.1 is written by `arc_centers_absolute`.
    """
    path_blend_word: str = "G64"
    """Template, may hold {tolerance} in program units."""
    path_exact_word: str = "G61"
    dwell_in_ms: bool = False
    semicolon_comments: bool = False
    """Whether ``;`` begins a comment (reading only; we always write parentheses)."""
    decimals_mm: int = 4
    decimals_inch: int = 5
    line_limit: int = 256
    """Longest line in characters (256 in NISTIR 6556, 3.3)."""
    end_word: str = "M2"
    control_back_off: float = 0.0
    """How far the control moves back by itself after a trip, mm."""
    arc_radius_tolerance_mm: float = 0.002
    """Largest difference between the start and end radius of an arc (0.002 mm in NISTIR 6556, 3.5.3.2)."""
    arc_radius_tolerance_inch: float = 0.0002
    local_shift: bool = False
    """Whether G52 shifts the origin of all coordinate systems (not in NISTIR 6556)."""
    unit_words_g70: bool = False
    """Whether G70 and G71 choose inches and millimetres (DIN 66025 practice; not in NISTIR 6556)."""
    acts_at_once: str = ""
    """Characters that hold the motion or go on with it as soon as they arrive, even from inside a comment."""
    outputs: tuple[str, ...] = ()
    """M words that switch outputs or wait for inputs with words of their own (P, Q, L, E, R, S), such as ``M64``."""
