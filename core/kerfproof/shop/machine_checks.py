"""What must hold between the fields of a machine.

Common practice, from memory, no source, unless a line says where a number comes from.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import fields
from typing import Any

from kerfproof.shop.profile import Machine, StartKind, TouchOff
from kerfproof.shop.spelling import quoted
from kerfproof.units import format_feed, format_length

MAX_FIXED_OVERRUN = 0.5
"""Overrun that presses the tip of a fixed head into the plate harder than a tip bears."""

Check = Callable[[Machine], Iterator[str]]

LONGEST_LIGHT_DELAY = 5.0
"""s; relay, preflow and ignition take 0.2 to 0.6 s (common practice, from memory)."""


def machine_mistakes(known: Mapping[str, Any]) -> list[str]:
    """Return what contradicts itself among the `known` fields, as sentences with key paths.

    Checks that need a field which is not known are left out.
    """
    return [mistake for check in _CHECKS for mistake in checked(known, check)]


def checked(known: Mapping[str, Any], check: Callable[[Machine], Iterable[str]]) -> list[str]:
    """Return what a check finds among the `known` fields; nothing if it needs one that is not known."""
    try:
        return list(check(_partial(known)))
    except AttributeError:  # the field has a mistake of its own that is told elsewhere
        return []


def dialect_mistake(dialect: str, dialects: Collection[str]) -> list[str]:
    """Return the sentence for a dialect that is none of `dialects`, or nothing."""
    if dialect.strip().lower().replace("-", "_") in dialects:
        return []
    return [f"control.dialect: {quoted(dialect)} is not known, only {', '.join(sorted(dialects))}"]


def _partial(known: Mapping[str, Any]) -> Machine:
    """Return a machine with the `known` fields only: reading another one raises AttributeError."""
    machine = object.__new__(Machine)
    for field in fields(Machine):
        if field.name in known:
            object.__setattr__(machine, field.name, known[field.name])
    return machine


def _float_stroke(machine: Machine) -> Iterator[str]:
    if machine.touch_off is not TouchOff.FLOAT:
        return
    f, stroke = machine.float_travel, machine.float_stroke
    if stroke <= f:
        yield (
            f"touch_off.float_stroke: {said(machine, stroke)} must be more than touch_off.float ({said(machine, f)}), "
            "or the head meets its hard stop before the switch trips"
        )


def _fast_touch(machine: Machine) -> Iterator[str]:
    """At most half of what is left of the float may be used up by overrun."""
    if machine.touch_off is not TouchOff.FLOAT or machine.float_stroke <= machine.float_travel:
        return
    overrun, room = machine.overrun(machine.touch_fast_mm_min), machine.float_stroke - machine.float_travel
    if overrun > room / 2:
        yield (
            f"touch_off.fast_feed: at {said_feed(machine, machine.touch_fast_mm_min)} the head runs on by "
            f"{said(machine, overrun)} after the trip, more than half of the {said(machine, room)} that the float has "
            "left; touch slower"
        )


def _fixed_touch(machine: Machine) -> Iterator[str]:
    if machine.touch_off is not TouchOff.OHMIC:
        return
    overrun = machine.overrun(machine.touch_fast_mm_min)
    if overrun > MAX_FIXED_OVERRUN:
        yield (
            f"touch_off.fast_feed: at {said_feed(machine, machine.touch_fast_mm_min)} the tip is pushed "
            f"{said(machine, overrun)} into the plate, at most {said(machine, MAX_FIXED_OVERRUN)} on a fixed head; "
            "touch slower"
        )


def _slow_touch(machine: Machine) -> Iterator[str]:
    if machine.touch_slow_mm_min > machine.touch_fast_mm_min:
        yield (
            f"touch_off.slow_feed: {said_feed(machine, machine.touch_slow_mm_min)} must not be more than fast_feed "
            f"({said_feed(machine, machine.touch_fast_mm_min)})"
        )


def _z_feeds(machine: Machine) -> Iterator[str]:
    for path, feed in (
        ("touch_off.fast_feed", machine.touch_fast_mm_min),
        ("torch.rise_feed", machine.rise_feed_mm_min),
    ):
        if feed > machine.z_rapid_mm_min:
            most = said_feed(machine, machine.z_rapid_mm_min)
            yield f"{path}: {said_feed(machine, feed)} is more than z.rapid ({most})"


def _travel_height(machine: Machine) -> Iterator[str]:
    if machine.travel_height <= machine.plate_height_band:
        yield (
            f"z.travel_height: {said(machine, machine.travel_height)} must be more than z.plate_height_band "
            f"({said(machine, machine.plate_height_band)}), or a high plate is hit on the way"
        )


def _z_travel(machine: Machine) -> Iterator[str]:
    """Worst case: highest plate to highest travel, down to the lowest plate, through the float, overrun, 2 mm."""
    band, depth = machine.plate_height_band, machine.trip_depth
    overrun = machine.overrun(machine.touch_fast_mm_min) if machine.touch_off is not TouchOff.NONE else 0.0
    for path, height in (
        ("z.travel_height", machine.travel_height + band),
        ("z.park_height_max", machine.park_height_max),
    ):
        need = height + band + depth + overrun + 2.0
        if need > machine.travel_z:
            yield (
                f"{path}: with the plate at its lowest and {said(machine, depth)} of float a touch-off needs "
                f"{said(machine, need, 2)} of Z, more than z.travel ({said(machine, machine.travel_z)})"
            )


def _preload(machine: Machine) -> Iterator[str]:
    if machine.touch_off is TouchOff.FLOAT:
        if machine.preload > machine.float_travel / 3:
            yield (
                f"torch.preload: {said(machine, machine.preload)} must be at most a third of touch_off.float "
                f"({said(machine, machine.float_travel)})"
            )
    elif machine.preload > 0.1:
        most = said(machine, 0.1)
        yield f"torch.preload: {said(machine, machine.preload)} must be at most {most} on a fixed head, it has no float"


def _hysteresis(machine: Machine) -> Iterator[str]:
    if machine.touch_off is TouchOff.FLOAT and machine.switch_hysteresis + 1.0 >= machine.float_travel:
        yield (
            f"touch_off.switch_hysteresis: {said(machine, machine.switch_hysteresis)} leaves nothing of the float of "
            f"{said(machine, machine.float_travel)}: the tip would lift before the switch lets go"
        )


def _light_delay(machine: Machine) -> Iterator[str]:
    if machine.light_delay_s > LONGEST_LIGHT_DELAY:
        yield (
            f"torch.light_delay: {machine.light_delay_s:g} s with the arc standing on the plate burns the tip; "
            f"it is at most {LONGEST_LIGHT_DELAY:g} s"
        )
    if machine.light_delay_s <= 0 and (machine.start is StartKind.CONTACT or not machine.arc_wait):
        yield (
            "torch.light_delay: must be more than 0 s, nothing may move before the arc is lit"
            if machine.start is StartKind.CONTACT
            else "torch.light_delay: must be more than 0 s where no torch.arc_wait waits for the arc"
        )


def _sense(machine: Machine) -> Iterator[str]:
    if machine.touch_off is TouchOff.OHMIC and machine.start is StartKind.CONTACT and not machine.sense_off:
        yield (
            "touch_off.sense_off: is missing, the sense circuit must be disconnected before a contact-start torch "
            "is lit"
        )
    if machine.sense_on and not machine.sense_off:
        yield "touch_off.sense_off: is missing, sense_on needs it"


def _height_control(machine: Machine) -> Iterator[str]:
    if machine.height_control_on and not machine.height_control_off:
        yield "height_control.off: is missing, a height control that is let go must also be held"


def _on_off(machine: Machine) -> Iterator[str]:
    if machine.torch_on.split() == machine.torch_off.split():
        yield f'torch.off: "{machine.torch_off}" is the same as torch.on'


def _texts(machine: Machine) -> Iterator[str]:
    """Return a sentence for each line that no control would read."""
    lines = [
        ("torch.on", machine.torch_on),
        ("torch.off", machine.torch_off),
        ("torch.arc_wait", machine.arc_wait),
        ("touch_off.sense_on", machine.sense_on),
        ("touch_off.sense_off", machine.sense_off),
        ("height_control.on", machine.height_control_on),
        ("height_control.off", machine.height_control_off),
        ("control.end_word", machine.end_word or ""),
        *((f"control.header {n}", line) for n, line in enumerate(machine.header_lines, 1)),
        *((f"control.footer {n}", line) for n, line in enumerate(machine.footer_lines, 1)),
    ]
    for path, line in lines:
        if re.search(r"[^ -~]", line):
            yield f"{path}: must be one line of plain ASCII characters"
        elif len(line) > 200:
            yield f"{path}: has {len(line)} characters, at most 200"


def _air(machine: Machine) -> Iterator[str]:
    full, least = machine.tank_bar, machine.air_least_bar
    if full is not None and least is not None and least >= full:
        yield (
            f"air.least: {least:g} bar must be less than air.cut_in ({full:g} bar), or the torch lacks air before the "
            "compressor starts"
        )


_CHECKS: tuple[Check, ...] = (
    _float_stroke, _fast_touch, _fixed_touch, _slow_touch, _z_feeds, _travel_height, _z_travel,
    _preload, _hysteresis, _light_delay, _sense, _height_control, _on_off, _texts, _air,
)  # fmt: skip


def said(machine: Machine, value: float, decimals: int | None = None) -> str:
    """Return a length in the unit of the machine's programs, mm where that is not known."""
    return format_length(value, getattr(machine, "inches", False), decimals)


def said_feed(machine: Machine, value: float) -> str:
    """Return a feed in the unit of the machine's programs, mm/min where that is not known."""
    return format_feed(value, getattr(machine, "inches", False))
