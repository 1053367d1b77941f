"""What is worth a warning about a machine that can be used all the same.

Common practice, from memory, no source, unless a line says where a number comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from kerfproof.errors import Finding, Severity
from kerfproof.sentence import Phrase, mm, mm_min, mm_s2, mm_span, say
from kerfproof.shop.profile import Machine, StartKind, TouchOff

Warnings = Iterator[tuple[str, Severity, Phrase, Phrase]]


def machine_findings(machine: Machine) -> tuple[Finding, ...]:
    """Return warnings and notes on a machine that can be used but is likely to disappoint."""
    return tuple(
        Finding(f"machine-{slug}", severity, message, advice)
        for warn in _WARNINGS
        for slug, severity, message, advice in warn(machine)
    )


def _warn_light(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.light_delay_s + machine.torch_on_delay_s < 0.2:
        yield (
            "light-delay-short", Severity.WARNING,
            f"The light delay of {machine.light_delay_s:g} s is shorter than relay, preflow and ignition usually take",
            "measure the longest one, from cold; 0.4 s is a usual start",
        )  # fmt: skip


def _warn_float_feed(machine: Machine) -> Warnings:
    if machine.touch_off is TouchOff.FLOAT and abs(machine.float_feed_mm_min - machine.touch_slow_mm_min) > 0.5:
        yield (
            "float-at-another-feed", Severity.WARNING,
            say(
                "The float was measured at {measured}, but the second touch runs at {slow}",
                measured=mm_min(machine.float_feed_mm_min), slow=mm_min(machine.touch_slow_mm_min),
            ),
            "measure the float again at slow_feed, or set slow_feed to the feed of the measurement",
        )  # fmt: skip


def _warn_float_acceleration(machine: Machine) -> Warnings:
    measured = machine.float_acceleration_mm_s2
    if machine.touch_off is TouchOff.FLOAT and measured and abs(measured / machine.z_acceleration_mm_s2 - 1) > 0.05:
        yield (
            "float-at-another-acceleration", Severity.WARNING,
            say(
                "The float was measured at a Z acceleration of {measured}, the machine has {now}: "
                "the overrun after the trip is another",
                measured=mm_s2(measured), now=mm_s2(machine.z_acceleration_mm_s2),
            ),
            "measure the float again (kerfproof coupon float)",
        )  # fmt: skip


def _warn_preload(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.touch_off is TouchOff.FLOAT and machine.preload < 0.5:
        yield (
            "preload-small", Severity.WARNING,
            say(
                "A preload of {preload} may leave the tip without contact at light-up",
                preload=mm(machine.preload, "~3"),
            ),
            say("use {preload}; the force is only the weight of the head", preload=mm(1)),
        )  # fmt: skip


def _warn_flat(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.touch_off is TouchOff.NONE:
        yield (
            "needs-flat-plate", Severity.WARNING,
            say(
                "A contact start on a fixed head without touch-off lights only on plate that is flat within {most}",
                most=mm(0.3),
            ),
            say("keep jobs within about {span}, or fit a touch-off", span=mm(300)),
        )  # fmt: skip


def _warn_retouch(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.retouch_distance > 0:
        yield (
            "retouch-left-out", Severity.WARNING,
            say(
                "retouch_distance of {distance} counts for a pilot torch alone, a contact start touches off each time",
                distance=mm(machine.retouch_distance, "~3"),
            ),
            "set retouch_distance to 0; leave_touch_off_out is your consent on a floating head",
        )  # fmt: skip


def _warn_tolerance(machine: Machine) -> Warnings:
    if machine.path_tolerance is not None and machine.path_tolerance > 0.15:
        yield (
            "corners-rounded", Severity.WARNING,
            say(
                "The control may round corners by {tolerance}, more than a tenth of a kerf",
                tolerance=mm(machine.path_tolerance, "~3"),
            ),
            say("set path_tolerance to {span}", span=mm_span(0.05, 0.1)),
        )  # fmt: skip


def _warn_rise(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and not 300 <= machine.rise_feed_mm_min <= 1500:
        yield (
            "rise-feed-odd", Severity.WARNING,
            say(
                "A rise at {feed} is outside {usual}: slower dwells in the crater, faster snaps a cold arc",
                feed=mm_min(machine.rise_feed_mm_min, ".0f"), usual=mm_span(300, 1500, unit="mm/min"),
            ),
            say("use {span}", span=mm_span(600, 1200, unit="mm/min")),
        )  # fmt: skip


def _warn_unit_slip(machine: Machine) -> Warnings:
    for path, value in (
        ("table.acceleration", machine.acceleration_mm_s2),
        ("z.acceleration", machine.z_acceleration_mm_s2),
    ):
        if not 20 <= value <= 20000:
            yield (
                "acceleration-odd", Severity.WARNING,
                say("{path} is {value}, which no home-built table has", path=path, value=mm_s2(value)),
                "look at its unit",
            )  # fmt: skip


_WARNINGS: tuple[Callable[[Machine], Warnings], ...] = (
    _warn_light, _warn_float_feed, _warn_float_acceleration, _warn_preload, _warn_flat, _warn_retouch,
    _warn_tolerance, _warn_rise, _warn_unit_slip,
)  # fmt: skip
