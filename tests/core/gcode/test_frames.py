"""Origins: G92 and its family, G10, coordinate systems, and the datum count that goes with Z."""

from __future__ import annotations

import pytest

from kerfproof.gcode.trace import StartState, Step
from support.programs.reading import errors, kinds, read

AT_4 = StartState(position=(4.0, 0.0, 0.0))


def test_a_shift_is_the_present_reading_less_the_wanted_one_plus_the_old_shift() -> None:
    # NISTIR 6556, 3.5.18: X reads 4, no offset; G92 X7 makes the offset -3, then G92 X9 makes it -5.
    trace = read("G92 x7", "#1=#5211", "G92 x9", "G0 Y[#1*100+#5211]", start=AT_4)
    assert trace.end[-1].tolist() == [4.0, -305.0, 0.0]
    assert [c.word for c in trace.changes if c.group == "origin"] == ["G92 X7", "G92 X9"]


def test_a_shift_names_only_its_axes_and_counts_only_z() -> None:
    trace = read("G92 X1", "G0 X0 Z1", "G92 Z0", "G0 Z1", "G92 Z-19.05 Y2", "G0 Z0 Y0", start=AT_4)
    assert kinds(trace).count(Step.DATUM) == 2
    assert trace.datum.tolist() == [-1, 0, 0, 1, 1]
    assert trace.end[-1].tolist() == pytest.approx([3.0, -2.0, 21.05])
    assert trace.frame_z.tolist() == [[0, 1], [1, 0], [0, 1], [1, -19.05], [-19.05, 0]]
    assert trace.text[1] == "G92 Z0" and trace.modes["datum"] == "set"


def test_a_cleared_datum_counts_as_none_and_the_next_one_counts_on() -> None:
    trace = read("G92 Z5", "G92.1", "G92 Z1", "G92.2", "G92.3")
    assert trace.datum.tolist() == [0, -1, 1, -1, -1]
    assert trace.frame_z[:, 1].tolist() == [5.0, 0.0, 1.0, 0.0, 1.0]
    assert trace.modes["datum"] == "cleared"


def test_only_the_clear_that_forgets_can_not_be_restored() -> None:
    # NISTIR 6556, 3.5.18: G92.2 keeps the parameters, G92.1 sets them to 0.
    assert read("G92 X5", "G92.2", "G0 X0", "G92.3", "G0 X0").end[:, 0].tolist()[-1] == -5.0
    assert read("G92 X5", "G92.1", "G0 X0", "G92.3", "G0 X0").end[:, 0].tolist()[-1] == 0.0


def test_the_shift_is_not_touched_by_incremental_mode() -> None:
    assert read("G91 G92 X5", "G90 G0 X0").end[-1].tolist() == [-5.0, 0.0, 0.0]


def test_origins_are_set_in_machine_coordinates_and_the_shift_stays() -> None:
    # NISTIR 6556, 3.5.5: only named axes change, G92 offsets stay in force.
    trace = read("G92 X1", "G10 L2 P1 X10 Z-3", "G0 X0 Y0 Z0", "#1=#5221", "G0 X#1", start=AT_4)
    assert trace.end.tolist() == [[4, 0, 0], [13, 0, -3], [23, 0, -3]]
    assert kinds(trace)[0] is Step.DATUM and trace.datum.tolist() == [0, 0, 0]


def test_an_origin_of_another_system_moves_nothing_until_it_is_chosen() -> None:
    trace = read("G10 L2 P2 X10 Z5", "G0 X0 Z0", "G55", "G0 X0 Z0", "G54", "#1=#5220", "G0 X#1", start=AT_4)
    assert trace.end[kinds(trace).index(Step.RAPID)].tolist() == [0.0, 0.0, 0.0]
    assert trace.end[:, 0].tolist()[-1] == 1.0 and [10.0, 0.0, 5.0] in trace.end.tolist()
    assert (trace.datum == -1).all() and trace.modes["system"] == "G54"


def test_the_reading_form_sets_the_origin_so_that_the_place_reads() -> None:
    start = StartState(position=(4.0, 5.0, 6.0), offset=(1.0, 1.0, 1.0), shift=(0.5, 0.5, 0.5))
    trace = read("G10 L20 P1 Z-19.05", "G10 L20 P0 X0", "G0 Z0 X1", start=start)
    assert trace.end[-1].tolist() == pytest.approx([5.0, 5.0, 25.05])
    assert trace.frame_z[0].tolist() == pytest.approx([4.5, -19.05]) and trace.datum[-1] == 0
    assert trace.text[0] == "G10 L20 P1 Z-19.05"


def test_all_systems_start_with_the_offset_of_the_start() -> None:
    start = StartState(offset=(100.0, 50.0, -30.0))
    for word in ("G54", "G55", "G59.3"):
        trace = read(word, "G0 X0 Y0 Z0", start=start)
        assert trace.end.tolist() == [[100.0, 50.0, -30.0]] and trace.xy_origin == (100.0, 50.0)


def test_a_tool_length_moves_the_frame_but_makes_no_datum() -> None:
    start = StartState(tool_lengths=(0.0, 12.0))
    trace = read("G92 Z0", "G43 H1", "G0 Z0", "G49", "G43 H5", start=start)
    assert kinds(trace) == [Step.DATUM, Step.DATUM, Step.RAPID, Step.DATUM]
    assert trace.datum.tolist() == [0, -1, -1, -1] and trace.end[2, 2] == 12.0
    assert [u.line for u in trace.unread] == [5]


def test_absurd_origins_are_refused() -> None:
    trace = read("G92 Z[10**30]", "G10 L2 P1 X[10**30]", "G0 X0 Z0")
    assert [line for line, _ in errors(trace)] == [1, 2] and trace.end.tolist() == [[0.0, 0.0, 0.0]]


def test_other_coordinate_systems_lie_apart_and_stand_in_the_parameters():
    start = StartState(
        position=(1.0, 1.0, 0.0), offset=(100.0, 50.0, 0.0), system="G55", apart=(7.0, -3.0, 1.0), inches=False
    )
    trace = read("G0 X0 Y0", "G54", "G0 X0 Y0", "G0 X#5241 Y#5242", "G55 G0 X#5221 Y#5220", start=start)
    assert trace.end[trace.kind == Step.RAPID][:, :2].tolist() == [[100, 50], [107, 47], [207, 97], [207, 51]]
    assert read("G55", "G0 X0", start=start).end[-1, 0] == 100.0
