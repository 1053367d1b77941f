"""When a touch-off may be made once, or left out: what the head was measured to hold and what the shop allows.

The writer asks before it writes, the proof asks again of what it finds in the text. Lengths mm, feeds mm/min. All
numbers are common practice, no source.
"""

from __future__ import annotations

from kerfproof.shop.profile import Machine, StartKind, TouchOff

STEADY = 0.1
"""A head whose repeated touches differ by no more than this tells the plate by one."""
FIXED_FEED = 300.0
"""A fixed head is never touched faster: its tip takes the overrun."""
TWICE_EVERY = 10
"""Of so many starts that follow each other one has two touches at least."""
TWICE_BEYOND = 300.0
"""Farther than this from the last touch-off the plate is touched twice again."""

CLOSE = 100.0
"""No farther than this from the last touch-off a contact torch may light without one of its own."""
MOST_LEFT_OUT = 4
"""So many starts in a row may rely on one touch-off."""
LEAST_THICKNESS = 3.0
"""Thinner plate moves too much while it is cut."""
HELD = 3.0
"""How far below the last zero the carriage goes where the touch-off is left out: contact in spite of `PLATE_MOVES`."""
PLATE_MOVES = 1.5
"""So much lower or higher the plate may lie there than at the last touch-off."""
OVER = 3.0
"""Down to so far over the last zero the carriage comes at the rapid, which a plate that lies higher by `PLATE_MOVES`
does not reach."""


def one_touch_feed(machine: Machine, guarded: bool) -> float | None:
    """Return the feed (mm/min) at which one touch tells the plate on this machine, None where it takes two.

    `guarded`: whether the program can stop itself at a trip out of the plate band; a false trip passes otherwise.
    """
    spread, feed = machine.float_spread, machine.float_feed_mm_min
    if not guarded or spread is None or spread > STEADY or machine.touch_off is TouchOff.NONE:
        return None
    return None if machine.touch_off is TouchOff.OHMIC and feed > FIXED_FEED else feed


def leaves_out_within(machine: Machine, thickness: float | None, guarded: bool) -> float:
    """Return how near (mm) to the last touch-off one may be left out on this plate; 0: nowhere.

    A pilot torch needs no contact: there the machine file names the distance. A contact torch needs the shop's consent,
    a float that takes up what the plate moves, plate that lies still, and a control that stops at a bad touch-off.
    """
    if machine.start is StartKind.PILOT:
        return machine.retouch_distance
    allowed = machine.leave_touch_off_out and machine.touch_off is TouchOff.FLOAT and guarded
    if not allowed or thickness is None or thickness < LEAST_THICKNESS - 1e-9:
        return 0.0
    deepest = min(machine.float_travel / 3.0, machine.float_travel - machine.switch_hysteresis - 2.0)
    return CLOSE if HELD <= deepest else 0.0
