"""What is done in many small steps is judged as the stretch it makes, not step by step."""

from __future__ import annotations

import re

import pytest

from kerfproof.errors import Severity
from kerfproof.proof.rule import all_rules
from support.faulty.faults import Subject
from support.programs.examples import before, evidence_of
from support.programs.rule_pages import Example
from support.shop.shop import built_in, cut, demo

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


@pytest.mark.parametrize(("lead", "told"), [(1.5, True), (3.0, True), (5.0, False)])
def test_a_torch_that_comes_down_where_it_stands_must_do_so_on_its_lead(lead: float, told: bool):
    """It comes down 4 mm from the pierce in 0.153 s, which pits the edge of a contour and nothing on a longer lead."""
    meets, down = "G1 X20 Y20 F2200", f"X{24 - lead} Y20"
    way = [f"G1 {down} F2200", "G1 Z1.5 F900"]
    text = "\n".join(
        [
            "G1 Z3.8 F900",
            *([meets, *way] if told else [*way, meets]),
            "G1 X60 F2200",
            "G1 Y60",
            "G1 X20",
            "G1 Y20",
            "G1 X22",
            "M5",
        ]
    )
    header = {"Given": f"burning at {20 - lead} 20", "Machine": "pilot-float"}
    findings = all_rules()["dwell-in-cut"].findings(evidence_of(Example(header, text + "\n")))
    assert bool([f for f in findings if f.severity is Severity.WARNING]) is told


def test_a_burning_torch_pulled_up_in_mid_cut_is_out_of_its_band():
    assert "cut-height-out-of-band" in rules(in_mid_cut("G1 Z24 F900", "G1 Z1.5", "F2200"))


def test_a_homed_machine_is_not_driven_above_the_top_that_homing_has_found():
    subject = Subject(cut(demo("gusset"), built_in("pilot-ohmic-mm")))
    lines = subject.lines
    at = next(k for k, line in enumerate(lines) if line.startswith("G53 G0 Z"))
    text = "\n".join([*lines[:at], "G53 G0 Z5", *lines[at + 1 :]]) + "\n"
    assert "outside-travel" in {f.rule for f in subject.prove(text).findings if f.severity is Severity.ERROR}


PIECE = "G1 X20 F2200\nG1 Y80\nG1 X120\nG1 Y20\nG1 X20\nG1 Y50\nM5\nG4 P0.3\nG0 Z25\nG0 X10 Y90\n"
BURNING, HEAD = {"Given": "burning at 10 50"}, {"Given": "head"}
FRAME = {"Given": "head", "Plate": "0 0 100 100", "Mode": "frame"}


@pytest.mark.parametrize(
    ("rule", "header", "text", "told"),
    [
        ("travel-over-tipping", BURNING, f"{PIECE}G3 X10 Y90 I30 J-20 F6000\n", True),
        ("travel-over-tipping", BURNING, f"{PIECE}G3 X10 Y90 I60 J-40 F6000\n", False),  # all around the piece
        ("outside-travel", HEAD, "G0 X10 Y10\nG2 X10 Y10 I500 J0 F6000\n", True),
        ("outside-travel", HEAD, "G0 X10 Y10\nG2 X10 Y10 I100 J0 F6000\n", False),
        ("off-plate", FRAME, "G0 X10 Y90\nG2 X90 Y90 I40 J0 F6000\n", True),
        ("off-plate", FRAME, "G0 X10 Y90\nG3 X90 Y90 I40 J0 F6000\n", False),
    ],
)
def test_travel_on_an_arc_is_judged_along_the_arc_and_not_along_its_chord(rule, header, text, told):
    findings = all_rules()[rule].findings(evidence_of(Example(header, text)))
    assert bool(findings) is told
    lines = (before(header["Given"]) + text).splitlines()
    assert all(f.line == len(lines) for f in findings), "at the arc"


@pytest.mark.parametrize("height", [0.0, 1.5])
def test_a_tip_that_was_raised_and_lowered_again_is_down_at_the_end(height: float):
    lines = SUBJECT.lines
    last = max(k for k, line in enumerate(lines) if line.startswith("G0 Z"))
    assert "left-down-after-cut" in rules([*lines[:last], f"G0 Z{height}", *lines[last + 1 :]])
