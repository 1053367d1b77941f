"""Programs read as a control would: printed examples of NISTIR 6556 and what follows from its rules."""

from __future__ import annotations

import gc
import math
import random
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from gcodeparser import parse_gcode_lines

from kerfproof.errors import Cancelled
from kerfproof.gcode.reader.recorder import Recorder
from kerfproof.gcode.trace import StartState, Step, Trace
from support.programs.reading import PUBLISHED, SKIP_MACRO, errors, kinds, read

AT_7_7 = StartState(position=(7.0, 7.0, 0.0), feed_mm_min=100.0)


def ends(trace: Trace) -> list[list[float]]:
    return np.round(trace.end, 9).tolist()


# --- printed examples ---------------------------------------------------------------------------------------------


def test_words_split_by_spaces_are_read_as_one() -> None:
    # NISTIR 6556, 3.3: "g0x +0. 12 34y 7" equals "g0 x+0.1234 y7".
    assert ends(read("g0x +0. 12 34y 7")) == ends(read("g0 x+0.1234 y7")) == [[0.1234, 7.0, 0.0]]


def test_the_printed_arc_by_centre() -> None:
    # NISTIR 6556, 3.5.3.2: from (7, 7); the centre is printed, sweep and length are worked out here.
    trace = read("G17 G2 x10 y16 i3 j4 z9", start=AT_7_7)
    assert trace.center[0].tolist() == [10.0, 11.0]
    assert math.degrees(trace.sweep[0]) == pytest.approx(-143.1301, abs=1e-4)
    assert 5 * abs(trace.sweep[0]) == pytest.approx(12.49046, abs=1e-5)
    assert trace.end[0].tolist() == [10.0, 16.0, 9.0]
    assert trace.seconds[0] == pytest.approx(math.hypot(12.49046, 9) / 100 * 60, abs=1e-4)
    assert kinds(trace) == [Step.ARC]


def test_the_printed_arc_by_radius() -> None:
    # NISTIR 6556, 3.5.3.1: from (3, 1, 0); the centre is worked out here.
    trace = read("g2 x[6-[4*3/2]] r7.01 z0.5", start=StartState(position=(3.0, 1.0, 0.0), feed_mm_min=60.0))
    assert trace.end[0].tolist() == [0.0, 1.0, 0.5]
    assert trace.center[0] == pytest.approx([1.5, 7.8476], abs=1e-4)
    assert math.degrees(trace.sweep[0]) == pytest.approx(-24.7114, abs=1e-4)
    assert trace.seconds[0] == pytest.approx(3.06444, abs=1e-5)


def test_settings_of_a_line_act_after_all_its_reading() -> None:
    # NISTIR 6556, 3.3.3: "#3=15" then "#3=6 G1 x#3" moves to X15 and leaves 6.
    trace = read("F10", "#3=15", "#3=6 G1 x#3", "G1 X#3")
    assert ends(trace) == [[15.0, 0.0, 0.0], [6.0, 0.0, 0.0]]


def test_a_function_may_be_a_coordinate_and_the_tool_length_shifts_z() -> None:
    # NISTIR 6556, appendix C.3: after a length of 1.0, "g1 x asin[0.5]" leads to (30, 1, -0.5).
    start = StartState(position=(0.0, 1.0, 0.5), feed_mm_min=10.0, tool_lengths=(0.0, 0.0, 1.0))
    trace = read("G43 H2", "g1 x asin[0.5]", start=start)
    assert trace.end[-1] == pytest.approx([30.0, 1.0, 0.5])
    assert trace.frame_z[-1].tolist() == [-0.5, -0.5]


def test_the_printed_drilling_lines() -> None:
    # NISTIR 6556, appendix C.3 and 3.5.16.3.
    first = read("g91 g81 x3 y2 z-0.8 r1.5 l2", start=StartState(position=(30.0, 1.0, -0.5), feed_mm_min=10.0))
    assert ends(first) == [
        [30, 1, 1], [33, 3, 1], [33, 3, 0.2], [33, 3, 1], [36, 5, 1], [36, 5, 0.2], [36, 5, 1],
    ]  # fmt: skip
    at_123 = StartState(position=(1.0, 2.0, 3.0), feed_mm_min=10.0)
    second = read("G90 G81 G98 X4 Y5 Z1.5 R2.8", start=at_123)
    assert ends(second) == [[4, 5, 3], [4, 5, 2.8], [4, 5, 1.5], [4, 5, 3]]
    assert kinds(second) == [Step.RAPID, Step.RAPID, Step.FEED, Step.RAPID]
    third = ends(read("G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3", start=at_123))
    assert third[0] == [1, 2, 4.8]
    assert third[1::3] == [[5, 7, 4.8], [9, 12, 4.8], [13, 17, 4.8]]
    assert third[2::3] == [[5, 7, 4.2], [9, 12, 4.2], [13, 17, 4.2]]


def test_the_arcs_of_the_printed_first_program() -> None:
    # NISTIR 6556, C.1: a full circle "g2 x32.5 j2.5", and a radius 4 over a chord of 5 about (66.5, 0.8775).
    whole = read("F100", "g2 x32.5 j2.5", start=StartState(position=(32.5, 0.0, 0.0)))
    assert whole.sweep[0] == -2 * math.pi and whole.center[0].tolist() == [32.5, 2.5]
    bow = read("F100", "g2 x69 r4", start=StartState(position=(64.0, 4.0, 0.0)))
    assert bow.center[0] == pytest.approx([66.5, 0.8775], abs=1e-4)
    # The lengths of all its arcs, worked out by hand: two circles, a half one and the bow clockwise, three quarters of
    # a circle the other way.
    lines = ["F100", "g2 x32.5 j2.5", "g2 x32.5 j2.5", "g2 x37.5 r2.5", "g2 x42.5 r4"]
    trace = read(*lines, start=StartState(position=(32.5, 0.0, 0.0)))
    length = np.hypot(*(trace.start[:, :2] - trace.center).T) * trace.sweep
    assert errors(trace) == [] and -length.sum() == pytest.approx(44.6710, abs=5e-5)
    three_quarters = read("F100", "g3 x45 y2.5 r-2.5", start=StartState(position=(42.5, 0.0, 0.0)))
    assert 2.5 * three_quarters.sweep[0] == pytest.approx(11.7810, abs=5e-5)


def test_the_arcs_of_the_printed_contour_have_radius_one() -> None:
    # NISTIR 6556, table 12: arcs from (2,3) about (2,2), (-2,-2) to (-2.6,-0.2) about (-2,-1), (1.4,2.8) to (2,3).
    trace = read("F10", "G0 X-2 Y-2", "G2 X-2.6 Y-0.2 J1", "G0 X1.4 Y2.8", "G2 X2 Y3 I0.6 J-0.8")
    assert errors(trace) == []
    arcs = trace.kind == Step.ARC
    radii = np.hypot(*(trace.start[arcs, :2] - trace.center[arcs]).T)
    assert radii == pytest.approx([1.0, 1.0])
    assert trace.center[arcs] == pytest.approx(np.array([[-2.0, -1.0], [2.0, 2.0]]))
    assert trace.radius_gap[arcs] == pytest.approx([0.0, 0.0], abs=1e-12)


# --- order of execution ---------------------------------------------------------------------------------------------


def test_torch_on_and_dwell_come_before_the_motion_of_their_line() -> None:
    trace = read("F10", "M3 G4 P0.5 G1 X5")
    assert kinds(trace) == [Step.TORCH_ON, Step.DWELL, Step.FEED]
    assert trace.torch.tolist() == [False, True, True]


def test_torch_off_comes_before_the_motion_of_its_line() -> None:
    trace = read("F10", "M3", "G1 X5 M5")
    assert kinds(trace) == [Step.TORCH_ON, Step.TORCH_OFF, Step.FEED]
    assert trace.torch.tolist() == [False, True, False]


def test_a_feed_on_the_units_line_is_read_in_the_old_units() -> None:
    # NISTIR 6556, table 8: F is third, G20 twelfth, motion twentieth.
    assert read("G21", "G20 F100 G1 X1").feed.tolist() == [100.0]
    assert read("G21", "G20 F100 G1 X1").end[0, 0] == 25.4
    assert read("G20", "G1 X1 F100").feed.tolist() == [2540.0]


def test_a_stop_comes_after_the_motion_of_its_line() -> None:
    assert kinds(read("F1", "M0 G1 X1", "M2 X2")) == [Step.FEED, Step.STOP, Step.FEED, Step.END]


# --- modal state ----------------------------------------------------------------------------------------------------


def test_distances_units_and_motion_words_stay_in_force() -> None:
    trace = read("G91 F100", "G1 X1", "X1 Y1", "G20", "X1", "G90 X1", "G0 Y2")
    assert ends(trace) == [[1, 0, 0], [2, 1, 0], [27.4, 1, 0], [25.4, 1, 0], [25.4, 50.8, 0]]
    assert trace.text == ("G1", "G1", "G1", "G1", "G0")
    assert trace.modes["units"] == "G20" and trace.modes["motion"] == "G0" and trace.modes["distance"] == "G90"


def test_every_statement_of_a_mode_is_listed() -> None:
    trace = read("G21 G90", "G90", "G61", "F100")
    assert [(c.line, c.group, c.word) for c in trace.changes] == [
        (1, "units", "G21"), (1, "distance", "G90"), (2, "distance", "G90"), (3, "path", "G61"), (4, "feed", "F100"),
    ]  # fmt: skip


def test_inverse_time_feed_needs_f_on_every_line() -> None:
    trace = read("G93", "G1 X10 F2", "G1 X20", "G2 X40 I10 F1", "G94", "G1 X50")
    assert trace.feed.tolist() == [20.0, pytest.approx(10 * math.pi)]
    assert trace.seconds == pytest.approx([30.0, 60.0])
    assert [line for line, _ in errors(trace)] == [3, 6]


def test_a_move_without_a_feed_is_refused_and_the_next_one_starts_at_its_end() -> None:
    trace = read("G1 X10", "F100", "G1 X20")
    assert errors(trace) == [(1, "a feed move without a feed: F is missing or zero")]
    assert trace.start.tolist() == [[10.0, 0.0, 0.0]] and trace.end.tolist() == [[20.0, 0.0, 0.0]]


def test_axis_words_without_a_motion_word_are_refused() -> None:
    assert errors(read("X1")) == [(1, "axis words, but no motion word is in force")]
    assert errors(read("G0 X1", "G80", "X2")) == [(3, "axis words, but no motion word is in force")]


def test_a_line_in_error_does_nothing_at_all() -> None:
    trace = read("F100", "M3 G1 X5 X6", "G1 X7")
    assert kinds(trace) == [Step.FEED] and not trace.torch.any()


def test_compensation_is_followed_as_a_state_only() -> None:
    trace = read("F1", "G41 D1 G1 X5", "G42", "G53 G0 X1", "G38.2 Z-5", "G40")
    assert [(u.line, u.column) for u in trace.unread if not u.error] == [(2, 8)]
    assert [line for line, _ in errors(trace)] == [3, 4, 5]
    assert trace.end[0].tolist() == [5.0, 0.0, 0.0] and trace.modes["compensation"] == "G40"


# --- frames ---------------------------------------------------------------------------------------------------------


def test_machine_coordinates_hold_for_one_line() -> None:
    start = StartState(position=(1.0, 2.0, 3.0), offset=(100.0, 50.0, -30.0), shift=(1.0, 1.0, 1.0))
    trace = read("G53 G0 Z0", "G0 X10 Y10 Z5", "G91", "G53 G0 X1", "G53 X2", start=start)
    assert ends(trace) == [[1, 2, 0], [111, 61, -24]]
    assert trace.text[0] == "G53 G0" and trace.xy_origin == (101.0, 51.0)
    assert [reason for _, reason in errors(trace)] == ["G53 is an error in incremental mode"] * 2


def test_a_stale_state_is_what_a_careless_program_inherits() -> None:
    start = StartState(inches=True, incremental=True, motion="G1", feed_mm_min=600.0, torch=True)
    trace = read("X1", "X1", start=start)
    assert ends(trace) == [[25.4, 0, 0], [50.8, 0, 0]] and trace.torch.all()
    assert trace.feed.tolist() == [600.0, 600.0] and trace.datum.tolist() == [-1, -1]


# --- what is not read -------------------------------------------------------------------------------------------------


def test_unknown_words_are_named_with_their_place_and_reading_goes_on() -> None:
    trace = read("F100", "M3 M62 P1", "G7", "G1 X5 U3", "G1 A5 X6")
    assert [(u.line, u.column, u.reason, u.error) for u in trace.unread] == [
        (2, 4, "the word M62 is not known here", False),
        (3, 1, "the word G7 is not known here", False),
        (4, 7, "the letter U is not in the language", False),
        (5, 4, "the axis A is not part of this table", False),
    ]
    assert kinds(trace) == [Step.TORCH_ON, Step.OUTPUT, Step.OUTPUT, Step.OUTPUT, Step.FEED, Step.FEED]
    assert trace.text[1] == "M62"


def test_an_unknown_g_word_with_axis_words_takes_its_motion_along() -> None:
    trace = read("F100", "G1 X5", "G5 X10", "X15")
    assert trace.end[:, 0].tolist() == [5.0, 15.0] and errors(trace)[0][0] == 3


def test_text_after_the_end_is_noted_once_and_not_run() -> None:
    for end in ("M2", "M30"):
        trace = read("G0 X1", end, "%", "", "  G0 X5", "garbage $$")
        assert [(u.line, u.column, u.reason, u.error) for u in trace.unread] == [(5, 3, "after the program end", False)]
        assert len(trace) == 2 and trace.modes["end"] == end and trace.lines == 6
    assert read("G0 X1").modes["end"] == ""


def test_percent_signs_hold_the_program_between_them() -> None:
    trace = read("", "%", "G0 X1", "%", "G0 X2")
    assert trace.modes["end"] == "%" and ends(trace) == [[1, 0, 0]]
    assert [u.reason for u in trace.unread] == ["after the program end"]
    assert "% must stand alone on the first line" in errors(read("G0 X1", "%", "M2"))[0][1]


def test_block_delete_follows_its_switch() -> None:
    lines = ("/G0 X1", "/ G0 X2", "G0 Y1")
    assert ends(read(*lines)) == [[1, 0, 0], [2, 0, 0], [2, 1, 0]]
    assert [u.line for u in read(*lines).unread] == [1]
    assert ends(read(*lines, start=StartState(block_delete=True))) == [[0, 1, 0]]


def test_lines_beyond_the_limit_are_refused() -> None:
    assert errors(read("G0 X1" + " " * 251)) == []
    trace = read("G0 X1" + " " * 252)
    assert errors(trace) == [(1, "the line is longer than 256 characters")] and trace.unread[0].column == 257
    short = replace(PUBLISHED, line_limit=10)
    assert [line for line, _ in errors(read("G0 X1 Y1  ", "G0 X1 Y1   ", control=short))] == [2]


def test_a_control_without_expressions_refuses_them() -> None:
    plain = replace(PUBLISHED, expressions=False)
    trace = read("G0 X[1+1]", "#1=5", "G0 X5", control=plain)
    assert [line for line, _ in errors(trace)] == [1, 2] and trace.unread[0].column == 5 and len(trace) == 1


def test_a_parameter_left_from_earlier_is_noted() -> None:
    trace = read("#1=1", "G0 X#1 Y#7", "G0 X#7")
    assert [(u.line, u.column) for u in trace.unread] == [(2, 9)] and not trace.unread[0].error


def test_comments_are_kept_with_their_lines() -> None:
    trace = read("(Kerf: 1.5)", "G0 X1 (to the corner)", "M5 (off) (MSG, look)", "(open")
    assert trace.comments == ((1, "Kerf: 1.5"), (2, "to the corner"), (3, "off"), (3, "MSG, look"), (4, "open"))
    assert errors(trace) == [(4, "the comment is not closed")]


def test_lines_of_the_machine_file_are_outputs_or_switch_the_torch() -> None:
    lines = {"arc_wait": "M66 P0 L3 Q1 (wait)", "height_control_on": "M64 P2\nG4 P0.5 S9", "torch_on": "M64 P1"}
    trace = read("M64 P1", "m66p0 l3q1", "M64 P2", "G4 P.5 S9", "M64 P3", lines=lines)
    assert trace.text[:3] == ("M64 P1", "M66 P0 L3 Q1 (wait)", "M64 P2")
    assert kinds(trace) == [Step.TORCH_ON, Step.OUTPUT, Step.OUTPUT, Step.DWELL, Step.OUTPUT]
    assert trace.torch.tolist() == [False, True, True, True, True]
    assert not trace.unread, "a machine whose lines have M64 has it for its other outputs, too"


# --- guards ---------------------------------------------------------------------------------------------------------


def test_a_root_of_a_negative_number_stops_the_program() -> None:
    trace = read("#1=3", "#2=SQRT[#1-3]", "#2=SQRT[2-#1]", "G0 X1")
    assert trace.stopped is not None and len(trace) == 0
    assert (trace.stopped.line, trace.stopped.column, trace.stopped.error) == (3, 4, True)
    assert "SQRT has no result for -1" in trace.stopped.reason


@pytest.mark.parametrize(
    ("line", "stops"),
    [
        ("IF [#1 LT 5] THEN #3000=1", False),
        ("if[#1 lt 5.5]then #3000=1 (too low)", True),
        ("IF [ABS[#1-#2] GT 0.3] THEN #3000=1", True),
        ("IF [#1-#2 GT 2] THEN #3000=1", False),
        ("N40 IF [ABS[#1-#2] GT .30] THEN #3000 = 1.", True),
        ("n5if[[#1]lt[5.50]]then#3000=1", True),
        ("IF [[#1] GT SQRT[4]] THEN #3000=1", True),
    ],
)
def test_a_compare_guard_of_the_dialect_stops_the_program(line: str, stops: bool) -> None:
    trace = read("#1=5 #2=3", line, "G0 X1", control=SKIP_MACRO)
    assert errors(trace) == []
    assert (trace.stopped is not None, len(trace)) == ((True, 0) if stops else (False, 1))
    if trace.stopped:
        assert trace.stopped.line == 2 and "guard" in trace.stopped.reason


def test_a_compare_line_is_an_error_where_the_dialect_has_none() -> None:
    assert errors(read("#1=5", "IF [#1 LT 5] THEN #3000=1", "G0 X1"))[0][0] == 2
    assert errors(read("IF [#1 LT] THEN #3000=1", control=SKIP_MACRO))[0][0] == 1


# --- dwell ----------------------------------------------------------------------------------------------------------


def test_dwells_are_seconds_or_milliseconds_by_dialect() -> None:
    assert read("G4 P0.5").value.tolist() == read("G4 P0.5").seconds.tolist() == [0.5]
    assert read("G4 P500", control=replace(PUBLISHED, dwell_in_ms=True)).seconds.tolist() == [0.5]


# --- against other readers ------------------------------------------------------------------------------------------


def _random_program(seed: int, count: int) -> Iterator[str]:
    r = random.Random(seed)
    yield "G21 G90 G17"
    yield "F1000"
    for _ in range(count):
        axes = " ".join(f"{a}{r.uniform(-500, 500):.4f}" for a in "XYZ" if r.random() < 0.7) or "X1.5"
        yield f"{r.choice(['G0', 'G1', 'G01', 'g1'])} {axes}" + (f" F{r.randint(1, 9)}00" if r.random() < 0.2 else "")


def test_plain_end_points_agree_with_another_parser() -> None:
    lines = list(_random_program(5, 400))
    place, expected = {"X": 0.0, "Y": 0.0, "Z": 0.0}, []
    for line in parse_gcode_lines("\n".join(lines)):
        if line.command[0] == "G" and line.command[1] in (0, 1):
            place.update({k: float(v) for k, v in line.params.items() if k in place})
            expected.append(tuple(place.values()))
    trace = read(*lines)
    assert np.array_equal(trace.end, np.array(expected)) and errors(trace) == []
    assert np.array_equal(trace.start[1:], trace.end[:-1])


def test_incremental_inch_end_points_agree_with_a_running_sum() -> None:
    r = random.Random(11)
    steps = np.round([[r.uniform(-9, 9) for _ in range(3)] for _ in range(300)], 4)
    trace = read("G20 G91 F10", *(f"G1 X{x:.4f} Y{y:.4f} Z{z:.4f}" for x, y, z in steps))
    assert trace.end == pytest.approx(np.cumsum(steps, axis=0) * 25.4, abs=1e-9)


def test_the_short_way_and_the_long_way_read_the_same() -> None:
    # An odd order of words or a comment inside forces the long way; the moves must be the same to the last bit.
    r, short, long = random.Random(3), ["G20 F50", "G92 X0.3 Y-7.77"], ["G20 F50", "G92 X0.3 Y-7.77"]
    x = y = 0.0
    for k in range(300):
        if k == 150:
            short.append("G91")
            long.append("G91")
        i, j = round(r.uniform(0.1, 3), 4), round(r.uniform(0.1, 3), 4)
        dx, dy = (2 * i, 2 * j) if k % 3 == 0 else (round(r.uniform(-5, 5), 4), round(r.uniform(-5, 5), 4))
        x, y = (round(x + dx, 4), round(y + dy, 4))
        a, b = (dx, dy) if k >= 150 else (x, y)
        if k % 3 == 0:
            short.append(f"G3 X{a:.4f} Y{b:.4f} I{i} J{j}")
            long.append(f"J{j} I{i} (an arc) Y{b:.4f} X{a:.4f} G3")
        else:
            short.append(f"G{k % 2} X{a:.4f} Y{b:.4f} F{k}")
            long.append(f"F{k} Y{b:.4f} X{a:.4f} G{k % 2}")
    first, second = read(*short), read(*long)
    assert errors(first) == errors(second) and len(first) > 250
    for name in ("kind", "line", "start", "end", "center", "sweep", "feed", "seconds", "frame_z", "radius_gap"):
        assert np.array_equal(getattr(first, name), getattr(second, name)), name
    assert first.text == second.text and first.changes == second.changes


# --- robustness -----------------------------------------------------------------------------------------------------


def test_watching_is_called_and_may_stop_the_work() -> None:
    shares: list[float] = []
    read(*["G0 X1"] * 9000, watch=lambda stage, share: shares.append(share))
    assert shares[0] == 0.0 and shares[-1] == 1.0 and len(shares) >= 4

    def cancel(stage: str, share: float) -> None:
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        read("G0 X1", watch=cancel)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "\x00\xff\ufeff\u2028",
        "G1" * 500_000,
        "[" * 1_000_000,
        "(" * 200,
        "#" * 250,
        "G1 X" + "9" * 240,
        "%",
    ],
    ids=["empty", "blank", "bytes", "1 MB line", "brackets", "comments", "numbers signs", "huge number", "percent"],
)
def test_strange_text_is_read_to_its_end(text: str) -> None:
    trace = read(text)
    assert len(trace) == 0 and trace.end.shape == (0, 3) and trace.center.shape == (0, 2)
    assert (len(errors(trace)) > 0) is bool(text.strip("\n%"))


@pytest.mark.parametrize(
    "line",
    [
        "G[10**308] X1",
        "G81 X1 Z0 R1 P[10**200]",
        "F[10**[0-300]] X1",
        "G0 X[10**300]",
        "G1 X9999999999999",
        "G1 XNAN",
        "G1 XINF",
        "F[10**300]",
        "G2 X1 I[10**200]",
        "G4 P[10**99]",
    ],
)
def test_numbers_beyond_any_machine_are_refused(line: str) -> None:
    trace = read("F100", line, "G1 X1")
    assert errors(trace)[0][0] == 2 and np.isfinite(trace.end).all() and np.isfinite(trace.seconds).all()


def test_an_absurd_word_is_merely_unknown() -> None:
    assert [(u.reason, u.error) for u in read("M[10**308]").unread] == [("the word M1e+308 is not known here", False)]


def test_a_cycle_that_would_never_end_is_refused() -> None:
    assert "too many steps" in errors(read("F1", "G81 X1 Z-1 R1 L999999999"))[0][1]
    assert "too many steps" in errors(read("F1", "G83 X1 Z-1 R1 Q0.0000001"))[0][1]


def test_all_kinds_of_line_ends_count_alike() -> None:
    for end in ("\n", "\r\n", "\r"):
        trace = read(end.join(["G0 X1", "", "G0 X2"]))
        assert trace.line.tolist() == [1, 3]


def test_a_file_of_nothing_but_mistakes_is_bounded() -> None:
    trace = read(*["$"] * 30_000)
    assert len(trace.unread) <= 5001 and "25000 more" in trace.unread[-1].reason
    trace = read(*["$"] * 100_000, "G0 X1")
    assert "nothing behind line" in trace.unread[-1].reason and len(trace) == 0, "reading has ended"


_SCRAPS = [
    "[10**308]", "[10**[0-308]]", "G18G2X9Z9R[10**9]",
    "G", "M", "X", "Y", "Z", "I", "J", "R", "F", "N", "P", "L", "#", "[", "]", "=", "(", ")", "/", "%", ";", "-", ".",
    "**", "MOD", "SQRT[", "ATAN[", "0", "1", "2", "3", "38.2", "81", "92", "91", "20", "17", "18", "93", "5063", " ",
    "\t", "\n", "\n", "G1X", "G2X", "F100\n", "\u00e9", "\x00", "E", "#<", "G10L2P1Z", "G83Z-1R1Q", "M2\n", "G28",
    "G43H1",
]  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_no_text_makes_the_reader_fail(seed: int) -> None:
    r = random.Random(seed)
    text = "".join(r.choice(_SCRAPS) for _ in range(r.choice([50, 400, 3000])))
    for control in (PUBLISHED, replace(SKIP_MACRO, semicolon_comments=True, dwell_in_ms=True)):
        trace = read(text, control=control)
        for column in (trace.start, trace.end, trace.center, trace.sweep, trace.feed, trace.seconds, trace.value):
            assert len(column) == len(trace) and np.isfinite(column).all()
        for entry in trace.unread:
            line = text.replace("\r", "\n").split("\n")[entry.line - 1] if entry.line <= text.count("\n") + 1 else ""
            assert 1 <= entry.column <= max(len(line), 1) + 1


def test_the_columns_of_a_run_go_when_its_trace_is_made() -> None:
    gc.collect()
    gc.disable()  # as good as disabled where rubbish is looked for seldom
    try:
        trace = read("G1 X1 F100\nG2 X3 I1\n#1=2\nG38.2 Z-#1\nG1 X\nM2")
        assert len(trace) and not [thing for thing in gc.get_objects() if type(thing) is Recorder]
    finally:
        gc.enable()
