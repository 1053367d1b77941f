"""From the start height to cutting: torch on, waiting for the arc, piercing, going to cut height."""

from __future__ import annotations

from kerfproof.gcode.writer.write_context import WriteContext


def light(given: WriteContext) -> list[str]:
    """Return the lines that switch the torch on and wait until the arc is lit; nothing moves meanwhile."""
    m = given.machine
    speed = "" if m.torch_on_speed is None else " S" + given.words.length(m.torch_on_speed * given.words.unit)
    wait = [m.arc_wait] if m.arc_wait else given.words.dwell(given.light_wait)
    return [m.torch_on + speed, *wait]


def rise(given: WriteContext, height: float) -> str:
    """Return the line that takes the burning torch to `height`."""
    return f"G1 Z{given.words.length(height)} {given.words.feed(given.z_feed(given.machine.rise_feed_mm_min))}"


def pierce_from_contact(given: WriteContext, edge: bool, lit_at: float) -> list[str]:
    """Return the lines from an arc lit in contact at `lit_at` (0 or below) to cut height.

    Thick plate is pierced standing at the pierce height, out of the blow-back, thin plate at cut height. The
    rise counts into the pierce delay, which begins with the arc. At an edge there is nothing to pierce.
    """
    w, p = given.words, given.process
    if edge:
        return [rise(given, p.cut_height)]
    height = given.pierce_height or p.cut_height
    rest = max(0.0, p.pierce_delay_s - given.rise_time(height - lit_at))
    lines = [rise(given, height), *w.dwell(rest)]
    return lines if height == p.cut_height else [*lines, rise(given, p.cut_height)]


def pierce_from_above(given: WriteContext, edge: bool) -> list[str]:
    """Return the lines from a pilot arc lit at its start height to cut height.

    In plate from `SLAG_RING_FROM` up the torch stays up until it has left the slag ring of the pierce: then the
    way down is written in the lead, see `kerfproof.gcode.writer.run`.
    """
    delay = [] if edge else given.words.dwell(given.process.pierce_delay_s)
    return [*delay, *([] if keeps_high(given, edge) else [rise(given, given.process.cut_height)])]


SLAG_RING_FROM = 6.0
"""Thickness from which the ring of slag round a pierce stands in the torch's way (common practice, no source)."""


def keeps_high(given: WriteContext, edge: bool) -> bool:
    """Return whether a pilot torch begins its lead at the start height, over the slag ring."""
    return not edge and given.process.thickness >= SLAG_RING_FROM
