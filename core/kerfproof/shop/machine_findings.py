"""What is worth a warning about a machine that can be used all the same.

Common practice, from memory, no source, unless a line says where a number comes from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from kerfproof.errors import Finding, Severity
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from kerfproof.units import format_feed, format_length

Warnings = Iterator[tuple[str, Severity, str, str]]


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
            f"The float was measured at {format_feed(machine.float_feed_mm_min)}, but the second touch runs at "
            f"{format_feed(machine.touch_slow_mm_min)}",
            "measure the float again at slow_feed, or set slow_feed to the feed of the measurement",
        )  # fmt: skip


def _warn_float_acceleration(machine: Machine) -> Warnings:
    measured = machine.float_acceleration_mm_s2
    if machine.touch_off is TouchOff.FLOAT and measured and abs(measured / machine.z_acceleration_mm_s2 - 1) > 0.05:
        yield (
            "float-at-another-acceleration", Severity.WARNING,
            f"The float was measured at a Z acceleration of {measured:g} mm/s2, the machine has "
            f"{machine.z_acceleration_mm_s2:g} mm/s2: the overrun after the trip is another",
            "measure the float again (kerfproof coupon float)",
        )  # fmt: skip


def _warn_preload(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.touch_off is TouchOff.FLOAT and machine.preload < 0.5:
        yield (
            "preload-small", Severity.WARNING,
            f"A preload of {format_length(machine.preload)} may leave the tip without contact at light-up",
            "use 1 mm; the force is only the weight of the head",
        )  # fmt: skip


def _warn_flat(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.touch_off is TouchOff.NONE:
        yield (
            "needs-flat-plate", Severity.WARNING,
            "A contact start on a fixed head without touch-off lights only on plate that is flat within 0.3 mm",
            "keep jobs within about 300 mm, or fit a touch-off",
        )  # fmt: skip


def _warn_retouch(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and machine.retouch_distance > 0 and not machine.height_control_on:
        yield (
            "retouch-left-out", Severity.WARNING,
            f"Touch-off is left out nearer than {format_length(machine.retouch_distance)}, but a contact start needs "
            "each one",
            "set retouch_distance to 0",
        )  # fmt: skip


def _warn_tolerance(machine: Machine) -> Warnings:
    if machine.path_tolerance is not None and machine.path_tolerance > 0.15:
        yield (
            "corners-rounded", Severity.WARNING,
            f"The control may round corners by {format_length(machine.path_tolerance)}, more than a tenth of a kerf",
            "set path_tolerance to 0.05 to 0.1 mm",
        )  # fmt: skip


def _warn_rise(machine: Machine) -> Warnings:
    if machine.start is StartKind.CONTACT and not 300 <= machine.rise_feed_mm_min <= 1500:
        yield (
            "rise-feed-odd", Severity.WARNING,
            f"A rise at {format_feed(machine.rise_feed_mm_min)} is outside 300 to 1500 mm/min: slower dwells in "
            "the crater, faster snaps a cold arc",
            "use 600 to 1200 mm/min",
        )  # fmt: skip


def _warn_unit_slip(machine: Machine) -> Warnings:
    for path, value in (
        ("table.acceleration", machine.acceleration_mm_s2),
        ("z.acceleration", machine.z_acceleration_mm_s2),
    ):
        if not 20 <= value <= 20000:
            yield (
                "acceleration-odd", Severity.WARNING, f"{path} is {value:g} mm/s2, which no home-built table has",
                "look at its unit",
            )  # fmt: skip


_WARNINGS: tuple[Callable[[Machine], Warnings], ...] = (
    _warn_light, _warn_float_feed, _warn_float_acceleration, _warn_preload, _warn_flat, _warn_retouch,
    _warn_tolerance, _warn_rise, _warn_unit_slip,
)  # fmt: skip
