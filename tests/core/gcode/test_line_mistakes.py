"""Torch, height control and sense lines of a machine file must switch something on and the very same off again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.line_mistakes import line_mistakes
from support.shop.shop import built_in

DIALECTS = ("ngc", "ngc_blend", "compact", "skip_macro")


def told(dialect: str, **lines: str) -> list[str]:
    machine = replace(built_in(), dialect=dialect, **lines)
    return [mistake.key for mistake in line_mistakes(machine, control_of(machine))]


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize(
    ("on", "off"),
    [
        ("M3", "M5"), ("m03", "M05 (off)"), ("M4", "M5"), ("M3 S1000", "M5"), ("M8", "M9"), ("M3 M8", "M5 M9"),
        ("M64 P0", "M65 P0"), ("M65 P0", "M64 P0"), ("N10 M64 P0.", "m065 p0"), ("M68 E0 Q5", "M68 E0 Q0"),
        ("M100 P1", "M101"), ("M106 P1", "M106 P0"),
    ],
)  # fmt: skip
def test_lines_that_switch_on_and_off_again_are_right(on: str, off: str, dialect: str) -> None:
    assert told(dialect, torch_on=on, torch_off=off) == []


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize(
    ("on", "off", "keys"),
    [
        ("hello", "M5", ["on"]), ("(torch on)", "M5", ["on"]), ("M3", "(off)", ["off"]), ("M3 $1", "M5", ["on"]),
        ("M64", "M65 P0", ["on"]), ("M64 P0", "M65", ["off"]), ("M64", "M65", ["on", "off"]), ("/M3", "M5", ["on"]),
        ("M64 P0", "M65 P1", ["off"]), ("M64 P0", "M5", ["off"]), ("M3", "M9", ["off"]), ("M3", "M03", ["off"]),
        ("M64 P0", "M064 P0.", ["off"]), ("M68 E0 Q5", "M68 E0 Q2", ["off"]), ("M68 E0 Q5", "M68 E1 Q0", ["off"]),
        ("M3 M8", "M5", ["off"]), ("M100", "M5", ["off"]), ("M100", "M100", ["off"]),
        ("G4 P1", "M5", ["on"]), ("S1000", "M5", ["on"]), ("M5", "M3", ["on"]), ("M30", "M5", ["on"]),
        ("M66 P0", "M5", ["on"]), ("M98 P1", "M98 P2", ["on"]), ("M64 P0.5", "M65 P0.5", ["on"]), ("T1", "T0", ["on"]),
        ("M68 E0", "M68 E0 Q0", ["on"]), ("M68 E0 Q0", "M68 E0 Q1", ["on"]),
        ("M62 P0", "M63 P0", ["on", "off"]), ("M64 P0", "M63 P0", ["off"]), ("M67 E0 Q1", "M68 E0 Q0", ["on"]),
    ],
)  # fmt: skip
def test_lines_that_do_not_are_told_by_their_key(on: str, off: str, keys: list[str], dialect: str) -> None:
    assert told(dialect, torch_on=on, torch_off=off) == [f"torch.{key}" for key in keys]


@pytest.mark.parametrize(
    ("on", "off", "keys"),
    [
        ("M64 P2", "M65 P2", []), ("M62 P2", "M63 P2", []), ("M67 E0 Q1", "M67 E0 Q0", []), ("M52 P1", "M52 P0", []),
        ("", "M65 P2", []), ("", "hello", ["off"]), ("", "G4 P1", ["off"]), ("(on)", "(off)", ["on", "off"]),
        ("M62 P2", "M65 P3", ["off"]), ("M3", "M5", ["on"]),
    ],
)  # fmt: skip
def test_height_control_is_judged_alike_but_may_wait_for_the_motion(on: str, off: str, keys: list[str]) -> None:
    found = told("ngc_blend", height_control_on=on, height_control_off=off)
    assert found == [f"height_control.{key}" for key in keys]


def test_a_sense_circuit_must_be_off_before_the_torch_lights() -> None:
    assert told("ngc_blend", sense_on="M64 P1", sense_off="M63 P1") == ["touch_off.sense_off"]
    assert told("ngc_blend", sense_on="M64 P1", sense_off="M65 P2") == ["touch_off.sense_off"]


def test_each_mistake_says_what_to_write() -> None:
    machine = replace(built_in(), torch_on="M64 P3", torch_off="M65 P1")
    (mistake,) = line_mistakes(machine, control_of(machine))
    assert mistake.advice == "write M65 P3" and '"M65 P1"' in mistake.what


def test_a_comment_behind_a_semicolon_is_one_where_the_control_knows_it() -> None:
    lines = {"torch_on": "M64 P0 ; lit", "torch_off": "M65 P0 ; out"}
    assert told("compact", **lines) == []
    assert told("ngc", **lines) == ["torch.on", "torch.off"]
