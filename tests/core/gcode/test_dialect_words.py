"""Words that only some dialects know, and what cutter compensation forbids."""

from __future__ import annotations

import pytest

from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.ngc_blend import DIALECT as BLEND
from kerfproof.gcode.dialects.skip import DIALECT as SKIP
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import StartState, Step, Trace


def read(text: str, control=SKIP, start: StartState | None = None) -> Trace:
    return interpret(text, control, start=start or StartState(feed_mm_min=100.0))


def reasons(trace: Trace, error: bool) -> list[str]:
    return [u.reason for u in trace.unread if u.error is error]


# --- G52 --------------------------------------------------------------------------------------------------


def test_a_local_shift_moves_the_zero_of_every_system_until_it_is_set_to_0():
    trace = read("G0 X10 Y5\nG52 X100 Y50\nG0 X1 Y1\nG55\nG0 X2\nG52 X0 Y0\nG0 X3 Y3\n")
    assert trace.unread == ()
    assert trace.end[trace.kind == Step.RAPID, :2].tolist() == [[10, 5], [101, 51], [102, 51], [3, 3]]


def test_a_local_shift_is_absolute_in_program_units_and_bears_g92_on_top():
    trace = read("G20\nG52 X1\nG91\nG52 X2\nG90\nG0 X0\nG92 X0.5\nG0 X1.5\n")
    assert trace.end[trace.kind == Step.RAPID, 0] == pytest.approx([2 * 25.4, 3 * 25.4])


def test_a_local_shift_that_names_z_is_a_datum():
    trace = read("G0 Z10\nG52 Z4\nG0 Z1\nG52 Z0\nG0 Z1\n")
    assert trace.end[trace.kind == Step.RAPID, 2].tolist() == [10, 5, 1]
    assert trace.kind.tolist().count(Step.DATUM) == 2 and trace.datum[-1] == -1


def test_controls_without_a_local_shift_refuse_it_and_its_axis_words():
    for control in (NGC, COMPACT):
        trace = read("G52 X5\nG0 X1\n", control)
        assert reasons(trace, True) and trace.end[-1, 0] == 1.0


# --- G70 and G71 --------------------------------------------------------------------------------------------


def test_older_unit_words_mean_the_same_by_dialect():
    trace = read("G70\nG0 X1\nG71\nG0 X1\n")
    assert trace.end[:, 0].tolist() == [25.4, 1.0]
    assert [c.word for c in trace.changes if c.group == "units"] == ["G20", "G21"]
    assert "two words of the same modal group" in reasons(read("G70 G21\n"), True)[0]
    (note,) = reasons(read("G70\n", NGC), False)
    assert "G70 is not known here" in note


# --- outputs ------------------------------------------------------------------------------------------------


def test_outputs_take_words_of_their_own():
    trace = read("M62 P2\nG1 X5 M63 P2\nM66 P0 L3 Q1\nM67 E0 Q0.4\nG1 X6\nM3 S1 M64 P1\n", BLEND)
    assert trace.unread == ()
    assert [trace.text[k] for k in range(len(trace))] == [
        "M62 P2", "M63 P2", "G1", "M66 P0 Q1 L3", "M67 Q0.4 E0", "G1", "M3 S1", "M64 P1",
    ]  # fmt: skip
    assert trace.kind.tolist().count(Step.OUTPUT) == 5


def test_outputs_are_unknown_where_the_dialect_has_none():
    trace = read("M64 P1\nE5\n", NGC)
    assert [u.error for u in trace.unread] == [False, False]
    assert "M64 is not known here" in trace.unread[0].reason and trace.unread[0].column == 1


def test_a_torch_word_with_a_line_of_the_machine_file_switches_the_torch():
    lines = {"torch_on": "M3 $1 S1", "height_control_on": "M3 $2 S1", "torch_off": "M5 $1"}
    trace = interpret("M3 $1 S1\nM3 $2 S1 (height)\nG4 P1\nM5 $1\n", NGC, lines=lines)
    assert trace.unread == () and trace.kind.tolist() == [Step.TORCH_ON, Step.OUTPUT, Step.DWELL, Step.TORCH_OFF]
    assert trace.torch.tolist() == [False, True, True, True]


# --- cutter compensation: what the language forbids while it is on (appendix B and the error list) --------------


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("G18", "another plane"), ("G19", "another plane"), ("G20", "a change of units"),
        ("G55", "another coordinate system"), ("G92 X1", "G92"), ("G92.1", "G92.1"), ("G28", "G28"),
        ("G30 X1", "G30"), ("G53 G0 X1", "G53"), ("G38.2 X9", "a probing move"), ("G81 X1 Z-1 R1", "a canned cycle"),
    ],
)  # fmt: skip
def test_with_compensation_on_these_are_errors(line: str, what: str):
    trace = read(f"G21\nG41 D1\n{line}\nG40\n{line}\n", NGC)
    refused = [u for u in trace.unread if u.error]
    assert [u.line for u in refused if "compensation on" in u.reason] == [3]
    assert refused[0].reason.startswith(what)


def test_restating_what_holds_is_fine_with_compensation_on():
    assert reasons(read("G21\nG41 D1\nG21\nG17\nG54\nG10 L2 P2 X1\nG40\n", NGC), True) == []
