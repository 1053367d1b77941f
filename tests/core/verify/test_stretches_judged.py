"""What is done in many small steps is judged as the stretch it makes, not step by step."""

from __future__ import annotations

import re

import pytest

from faults import Subject
from kerfproof.errors import Severity
from shop import built_in, cut, demo

SUBJECT = Subject(cut(demo("gusset"), built_in()))


def rules(lines: list[str], severity: Severity = Severity.ERROR) -> set[str]:
    return {f.rule for f in SUBJECT.prove("\n".join(lines) + "\n").findings if f.severity is severity}


def in_mid_cut(*new: str) -> list[str]:
    lines, at = SUBJECT.lines, SUBJECT.cut_moves(SUBJECT.blocks()[-1])[3]
    return [*lines[:at], *new, *lines[at:]]


def test_the_program_itself_is_clean():
    assert not rules(SUBJECT.lines) | rules(SUBJECT.lines, Severity.WARNING)


@pytest.mark.parametrize("height", [1.5, 0.3, -1.0, -5.0])
def test_low_travel_in_short_steps_is_low_travel(height: float):
    lines = SUBJECT.lines
    low, _ = SUBJECT.blocks()[-2]
    at = next(k for k in range(low, len(lines)) if re.match(r"G0 X", lines[k]))
    x, y = (float(v) for v in re.findall(r"[XY]([\d.]+)", lines[at]))
    steps = [f"G0 X{x - 5 * k:.3f} Y{y:.3f}" for k in range(12)]
    assert "travel-too-low" in rules([*lines[:at], f"G0 Z{height}", *steps, "G0 Z25", *lines[at:]])


def test_many_short_waits_in_a_cut_are_one_long_one():
    assert "dwell-in-cut" in rules(in_mid_cut(*["G4 P0.09"] * 50))
    assert "dwell-in-cut" in rules(in_mid_cut(*["G4 P0.09"] * 2), Severity.WARNING)


def test_a_torch_that_stands_still_while_z_creeps_burns_in_one_place():
    assert "dwell-in-cut" in rules(in_mid_cut("G1 Z1.8 F2", "G1 Z1.5 F900", "F2200"))


def test_a_burning_torch_pulled_up_in_mid_cut_is_out_of_its_band():
    assert "cut-height-out-of-band" in rules(in_mid_cut("G1 Z24 F900", "G1 Z1.5", "F2200"))


def test_a_homed_machine_is_not_driven_above_the_top_that_homing_has_found():
    subject = Subject(cut(demo("gusset"), built_in("pilot-ohmic-mm")))
    lines = subject.lines
    at = next(k for k, line in enumerate(lines) if line.startswith("G53 G0 Z"))
    text = "\n".join([*lines[:at], "G53 G0 Z5", *lines[at + 1 :]]) + "\n"
    assert "outside-travel" in {f.rule for f in subject.prove(text).findings if f.severity is Severity.ERROR}
