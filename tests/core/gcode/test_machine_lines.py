"""Lines of the machine file are known by what they switch, however a program spells them."""

from __future__ import annotations

import pytest

from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.ngc_blend import DIALECT as NGC_BLEND
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import Step, Trace

ON_OUTPUT = {"torch_on": "M64 P0", "torch_off": "M65 P0", "height_control_on": "M64 P1", "height_control_off": "M65 P1"}
DIALECTS = {"published": NGC, "with outputs": NGC_BLEND, "small": COMPACT}


def read(*text: str, control: object = NGC_BLEND, lines: dict[str, str] = ON_OUTPUT) -> Trace:
    return interpret("\n".join(text) + "\n", control, lines=lines)  # type: ignore[arg-type]


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize(
    "line",
    ["M64 P0", "M64 P0.", "N10 M64 P0", "M064 P0", "m64p0", "P0 M64", "M62 P0", "N7 m062 p0.0 (torch)", "M8 M64 P0"],
)
def test_an_output_lights_the_torch_however_it_is_written(line: str, dialect: str):
    trace = read("G21 G90", line, "G1 X5 F100", control=DIALECTS[dialect])
    assert trace.torch[-1] and not [u for u in trace.unread if u.error]


@pytest.mark.parametrize("line", ["M64 P[0]", "M64 P[1-1]", "M62 P#7"])
def test_an_output_by_an_expression_lights_the_torch(line: str):
    assert read("#7=0", line, "G1 X5 F100").torch[-1]


@pytest.mark.parametrize("line", ["M64 P2", "M65 P0", "M63 P0", "M64 P1", "M66 P0 L3 Q1", "(M64 P0)", "/(M64 P0)"])
def test_other_outputs_light_nothing(line: str):
    assert not read(line, "G1 X5 F100").torch.any()


def test_a_line_that_lights_and_moves_moves_with_the_torch_on():
    trace = read("G21 G90 F100", "G1 X5 M64 P0", "M63 P0", "G1 X9")
    moves = trace.kind == Step.FEED
    assert trace.torch[moves].tolist() == [True, False]


@pytest.mark.parametrize("off", ["M65 P0", "M63 P0", "N9 m065 p0."])
def test_an_output_goes_off_by_either_of_its_words(off: str):
    assert not read("M64 P0", off, "G1 X5 F100").torch[-1]


def test_the_off_word_of_the_spindle_leaves_a_torch_on_an_output_burning():
    trace = read("M64 P0", "M5", "G1 X5 F100")
    assert trace.torch[-1] and trace.modes["torch"] == "on"


def test_a_torch_that_goes_off_by_m5_goes_off_by_m5():
    lines = {"torch_on": "M64 P0", "torch_off": "M05"}
    assert not read("M64 P0", "M5", "G1 X5 F100", lines=lines).torch[-1]


def test_the_spindle_word_lights_the_torch_of_a_machine_that_says_so_in_another_spelling():
    lines = {"torch_on": "m03", "torch_off": "M05 (off)"}
    assert read("M3", "G1 X5 F100", "M5", lines=lines).torch.tolist() == [False, True, True]


def test_an_analog_output_lights_at_any_value():
    lines = {"torch_on": "M68 E0 Q5", "torch_off": "M68 E0 Q0"}
    for word, lit in (("M68 E0 Q5", True), ("M67 E0 Q2.5", True), ("M68 E1 Q5", False), ("M67 E0 Q0", False)):
        assert bool(read(word, "G1 X5 F100", lines=lines).torch[-1]) is lit


def test_height_control_is_told_by_its_output_and_not_by_its_text():
    trace = read("N10 M062 P1.", "G0 X5", "M65 P1 (locked)")
    assert trace.text == ("M64 P1", "G0", "M65 P1"), "the words of the machine file, for the rules"


def test_a_line_that_no_language_has_is_known_by_its_spelling():
    lines = {"torch_on": "M3 $1", "height_control_on": "M3 $2"}
    trace = read("N5 m03 $1", "M3 $2.", lines=lines)
    assert [Step(k) for k in trace.kind] == [Step.TORCH_ON, Step.OUTPUT]
    assert read("M3 $3", lines=lines).unread[0].error


def test_a_wait_in_the_machine_file_is_a_wait():
    trace = read("G4 P.50", lines={"arc_wait": "G4 P0.5"})
    assert Step(trace.kind[0]) is Step.DWELL and trace.value[0] == 0.5


def test_a_word_that_only_the_machine_file_has_is_known_with_its_own_words_alone():
    lines = {"torch_on": "M100 P1", "torch_off": "M101"}
    trace = read("N10 M0100 P1.", "M101", "M100 P2", lines=lines)
    assert trace.torch.tolist() == [False, True, False]
    assert [(u.line, u.reason) for u in trace.unread] == [(3, "the word M100 P2 is not known here")]


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize(
    ("text", "lit"),
    [
        # Row by row: whether the torch burns while each move runs.
        (["M62 P0", "G4 P0.4", "G1 X5", "G1 X9"], [True, True]),
        (["G1 X5", "M62 P0", "G1 X5", "G1 X9"], [False, False, True]),  # a way of no length is none
        (["M64 P0", "G1 X5", "M63 P0", "G4 P1", "G1 X9"], [True, False]),
        (["M62 P0", "M63 P0", "G1 X5"], [False]),
        (["M63 P0", "M64 P0", "G1 X5"], [False]),
        (["M62 P0", "M65 P0", "G2 X10 I5"], [True]),
        (["G1 X5 M62 P0", "M63 P1", "G1 X9"], [True, True]),
        (["M62 P0", "G91 G1 X0 Y0", "G1 X1"], [False, True]),
        (["M62 P0", "M64 P1", "G53 G0 X2"], [True]),
    ],
)
def test_what_waits_for_a_motion_switches_as_the_next_one_begins(text: list[str], lit: list[bool], dialect: str):
    trace = read("G21 G90 F100", *text, control=DIALECTS[dialect])
    moves = [k in (Step.RAPID, Step.FEED, Step.ARC) for k in trace.kind]
    assert trace.torch[moves].tolist() == lit and not [u for u in trace.unread if u.error]


def test_what_waits_at_the_end_never_switches():
    trace = read("M64 P0", "G1 X5 F100", "M63 P0", "G4 P2", "M2")
    assert trace.modes["torch"] == "on" and trace.torch[-1]


def test_a_dwell_behind_a_word_that_waits_is_not_burned():
    trace = read("F100", "M62 P0", "G4 P3", "G1 X5")
    assert not trace.torch[trace.kind == Step.DWELL].any()
