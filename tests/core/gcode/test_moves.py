"""Probing on a small table, canned cycles, the way home."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest

from kerfproof.gcode.dialect import ProbeMiss
from kerfproof.gcode.trace import Probed, StartState, Step
from support.programs.reading import PUBLISHED, SKIP_MACRO, errors, kinds, read

Place = tuple[float, float, float]
FLOAT = 19.05
"""0.75 in from tip contact to switch."""


@dataclass
class FloatingHead:
    """A plate at a height, a head that trips `FLOAT` lower, runs on by v2/2a and is backed off."""

    plate: float
    acceleration: float = 300.0
    back_off: float = 0.0

    def probe(self, start: Place, target: Place, feed_mm_min: float) -> Probed:
        trip = self.plate - FLOAT
        if not start[2] >= trip >= target[2]:
            return Probed(False, target, target)
        overrun = (feed_mm_min / 60) ** 2 / (2 * self.acceleration)
        rest = (target[0], target[1], trip - overrun + self.back_off)
        return Probed(True, (target[0], target[1], trip), rest)


@dataclass
class Hole:
    """A round hole with conducting walls; the tip is a point."""

    x: float
    y: float
    radius: float

    def probe(self, start: Place, target: Place, feed_mm_min: float) -> Probed:
        dx, dy = target[0] - start[0], target[1] - start[1]
        length = math.hypot(dx, dy)
        ux, uy = dx / length, dy / length
        px, py = start[0] - self.x, start[1] - self.y
        along = -(px * ux + py * uy)
        way = along + math.sqrt(self.radius**2 - (px * px + py * py - along**2))
        trip = (start[0] + ux * way, start[1] + uy * way, start[2])
        return Probed(True, trip, (trip[0] - 0.1 * ux, trip[1] - 0.1 * uy, trip[2]))


TOUCH_OFF = (
    "G21 G90",
    "G92 Z0",
    "G38.2 Z-60 F1000",
    "#101=#5063",
    "#102=SQRT[0-2-#101]",
    "G1 Z[#101+2] F600",
    "G38.2 Z[#101-1.5] F150",
    "#102=SQRT[0.3-ABS[#5063-#101]]",
    "G1 Z#5063 F60",
    "G92 Z-19.05",
    "G1 Z1.5 F900",
)


@pytest.mark.parametrize("plate", [-25.0, -31.4, 12.0])
@pytest.mark.parametrize("back_off", [0.0, 2.0])
def test_a_touch_off_puts_the_tip_at_its_height_over_the_plate(plate: float, back_off: float) -> None:
    start = StartState(position=(3.0, 4.0, plate + 25.0), shift=(0.0, 0.0, -120.0))
    trace = read(*TOUCH_OFF, world=FloatingHead(plate, back_off=back_off), start=start)
    assert trace.stopped is None and errors(trace) == []
    assert trace.end[-1, 2] == pytest.approx(plate + 1.5, abs=1e-9)
    assert trace.frame_z[-1].tolist() == pytest.approx([-FLOAT, 1.5])
    assert trace.datum[-1] == 1 and [bool(p.tripped) for _, p in trace.probes] == [True, True]
    first = trace.probes[0][0]
    assert kinds(trace)[first] is Step.PROBE and trace.value[first] == 1.0
    assert trace.end[first, 2] == pytest.approx(plate - FLOAT - (1000 / 60) ** 2 / 600 + back_off)


def test_inch_programs_read_the_trip_in_inches() -> None:
    start = StartState(position=(0.0, 0.0, 25.4))
    trace = read("G20 G92 Z0", "G38.2 Z-3 F10", "G1 Z#5063", "G92 Z-0.75", world=FloatingHead(0.0), start=start)
    assert trace.end[-1, 2] == pytest.approx(-FLOAT) and trace.frame_z[-1, 1] == pytest.approx(-FLOAT)


@pytest.mark.parametrize("miss", [ProbeMiss.STOPS, ProbeMiss.ALARM])
def test_a_missed_probe_stops_the_controls_that_do_so(miss: ProbeMiss) -> None:
    control = replace(PUBLISHED, probe_miss=miss)
    trace = read("F100", "G38.2 Z-10", "M3", control=control, world=FloatingHead(-500.0))
    assert trace.stopped is not None and (trace.stopped.line, trace.stopped.column) == (2, 1)
    assert trace.stopped.reason == "the probing move ended without contact"
    assert kinds(trace) == [Step.PROBE] and trace.value.tolist() == [0.0] and not trace.probes[0][1].tripped


def test_a_missed_skip_move_goes_on_in_silence() -> None:
    trace = read("F100", "G31 Z-10", "#1=#5063", "G0 Z[#1+1]", "M3", control=SKIP_MACRO, world=FloatingHead(-500.0))
    assert trace.stopped is None and trace.end[:, 2].tolist() == [-10.0, -9.0, -9.0]
    assert kinds(trace)[-1] is Step.TORCH_ON


def test_a_guard_catches_the_missed_skip_move() -> None:
    guard = "IF [#5063 LT -30] THEN #3000=1"
    start = StartState(position=(0.0, 0.0, 5.0), feed_mm_min=100.0)
    for plate, stops in ((0.0, False), (-500.0, True)):
        trace = read("G31 Z-40", guard, "M3", control=SKIP_MACRO, world=FloatingHead(plate), start=start)
        assert (trace.stopped is not None) is stops and (Step.TORCH_ON in kinds(trace)) is not stops


def test_without_a_table_a_probe_trips_at_its_target() -> None:
    trace = read("F60", "G38.2 Z-10", "G1 Z[#5063+1]")
    assert trace.end[:, 2].tolist() == [-10.0, -9.0] and trace.seconds.tolist() == [10.0, 1.0]


def test_a_hole_is_found_by_probing_its_walls() -> None:
    # The pattern of NISTIR 6556, table 6: four probes, then two through the middle found so far.
    lines = [
        "F100",
        "G38.2 X20", "#11=#5061", "G0 X0 Y0", "G38.2 X-20", "#12=#5061", "G0 X[[#11+#12]/2]",
        "G38.2 Y20", "#13=#5062", "G0 Y0", "G38.2 Y-20", "#14=#5062", "G0 Y[[#13+#14]/2]", "#15=#5420",
        "G38.2 X20", "#11=#5061", "G38.2 X-20", "#12=#5061", "G0 X[[#11+#12]/2]",
    ]  # fmt: skip
    trace = read(*lines, world=Hole(1.5, -2.25, 9.0))
    assert trace.end[-1] == pytest.approx([1.5, -2.25, 0.0], abs=1e-9)
    assert [line for line, _ in errors(trace)] == [14]  # there is no parameter 5420


@pytest.mark.parametrize(
    ("lines", "reason"),
    [
        (["G38.2 Z-5"], "without a feed"),
        (["F1", "G38.2 Z-0.2"], "at least 0.254 mm"),
        (["G93", "G38.2 Z-5 F1"], "inverse time"),
        (["F1", "G38.2"], "at least one axis word"),
    ],
)
def test_illegal_probing_moves_are_refused(lines: list[str], reason: str) -> None:
    trace = read(*lines)
    assert reason in errors(trace)[-1][1] and len(trace) == 0


def test_bare_axis_words_probe_again_and_are_noted() -> None:
    control = replace(PUBLISHED, probe_miss=ProbeMiss.SILENT)
    trace = read("F100", "G38.2 Z-5", "Z-8", world=FloatingHead(-500.0), control=control)
    assert kinds(trace) == [Step.PROBE, Step.PROBE]
    assert [(u.line, u.error) for u in trace.unread] == [(3, False)] and "bare axis words" in trace.unread[0].reason


def test_a_trip_parameter_of_the_dialect_is_set_too() -> None:
    control = replace(SKIP_MACRO, trip_parameter=2002)
    trace = read("F100", "G31 Z-60", "G0 Z#2002", control=control, world=FloatingHead(0.0))
    assert trace.end[-1, 2] == -FLOAT and trace.unread == ()


# --- cycles -----------------------------------------------------------------------------------------------------------

START = StartState(position=(0.0, 0.0, 5.0), feed_mm_min=100.0)


def heights(*lines: str, **more: object) -> list[tuple[Step, float]]:
    trace = read(*lines, start=START, **more)
    assert errors(trace) == []
    return [(Step(k), float(z)) for k, z in zip(trace.kind, trace.end[:, 2].round(9), strict=True)]


def test_a_dwelling_cycle_waits_at_the_bottom() -> None:
    rows = heights("G82 X1 Z-2 R1 P0.5")
    assert rows[2:] == [(Step.FEED, -2.0), (Step.DWELL, -2.0), (Step.RAPID, 5.0)]


def test_a_pecking_cycle_clears_the_hole_each_time() -> None:
    rows = heights("G99 G83 X1 Z-2 R1 Q1.5")
    assert rows[1:] == [
        (Step.RAPID, 1.0),
        (Step.FEED, -0.5),
        (Step.RAPID, 1.0),
        (Step.RAPID, -0.246),
        (Step.FEED, -2.0),
        (Step.RAPID, 1.0),
    ]


def test_a_boring_cycle_feeds_out() -> None:
    assert heights("G89 X1 Z-2 R1 P1")[2:] == [
        (Step.FEED, -2.0), (Step.DWELL, -2.0), (Step.FEED, 1.0), (Step.RAPID, 5.0),
    ]  # fmt: skip
    assert heights("G99 G85 X1 Z-2 R1")[2:] == [(Step.FEED, -2.0), (Step.FEED, 1.0)]


def test_cycles_that_stop_the_spindle_are_followed_in_their_motion_and_noted() -> None:
    # NISTIR 6556, 3.5.16.4, .6 and .8: tapping feeds out, boring goes out rapid, manual boring stops the program.
    assert heights("G84 X1 Z-2 R1")[2:] == [(Step.FEED, -2.0), (Step.FEED, 1.0), (Step.RAPID, 5.0)]
    assert heights("G86 X1 Z-2 R1 P0.5")[2:] == [(Step.FEED, -2.0), (Step.DWELL, -2.0), (Step.RAPID, 5.0)]
    assert heights("G88 X1 Z-2 R1 P0.5")[2:] == [
        (Step.FEED, -2.0), (Step.DWELL, -2.0), (Step.STOP, -2.0), (Step.RAPID, 5.0),
    ]  # fmt: skip
    (note,) = read("G84 X1 Z-2 R1", start=START).unread
    assert not note.error and "the spindle, which is the torch here" in note.reason


def test_back_boring_goes_down_aside_and_bores_upwards() -> None:
    # NISTIR 6556, 3.5.16.7: aside by I and J, down, in, up to K at feed and back, aside, up, in.
    trace = read("G87 X10 Y20 Z-3 R1 I2 J-1 K-1.5", start=START)
    assert errors(trace) == []
    assert trace.end.tolist() == [
        [12, 19, 5], [12, 19, -3], [10, 20, -3], [10, 20, -1.5], [10, 20, -3], [12, 19, -3], [12, 19, 5], [10, 20, 5],
    ]  # fmt: skip
    assert kinds(trace) == [Step.RAPID] * 3 + [Step.FEED] * 2 + [Step.RAPID] * 3


@pytest.mark.parametrize(("plane", "letters"), [("G18", "ZXY"), ("G19", "YZX")])
def test_cycles_of_another_plane_are_those_of_the_xy_plane_turned(plane: str, letters: str) -> None:
    # NISTIR 6556, 3.5.16: R and the depth lie along the axis across the plane; 3.5.3: ZX and YZ are right-handed.
    turn = str.maketrans("XYZIJK", letters + "".join("IJK"["XYZ".index(letter)] for letter in letters))
    lines = (
        "G99 G83 X1 Y2 Z-2 R1 Q1.5", "X4", "G98 G89 X5 Y1 Z-1 R2 P0.1", "G87 X1 Y2 Z-3 R1 I2 J-1 K-1.5",
        "G91 G81 X3 Y2 Z-0.8 R1.5 L2",
    )  # fmt: skip
    flat = read(*lines, start=replace(START, position=(1.0, 2.0, 3.0)))
    place = [0.0, 0.0, 0.0]
    for value, letter in zip((1.0, 2.0, 3.0), letters, strict=True):
        place["XYZ".index(letter)] = value
    turned = read(plane, *(line.translate(turn) for line in lines), start=replace(START, position=tuple(place)))
    assert errors(flat) == errors(turned) == [] and kinds(turned) == kinds(flat)
    assert turned.end[:, ["XYZ".index(letter) for letter in letters]] == pytest.approx(flat.end, abs=1e-9)


def test_heights_of_a_cycle_stay_until_another_motion_word() -> None:
    trace = read("G81 X1 Z-2 R1", "X2", "G1 Z5", "G81 X3", start=START)
    assert [line for line, _ in errors(trace)] == [4] and trace.end[-2, 0] == 2.0


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("G81 X1 Z-2", "needs R"),
        ("G81 X1 R2", "needs Z"),
        ("G81 X1 Z3 R2", "R lies below Z"),
        ("G82 X1 Z-2 R1", "needs P"),
        ("G83 X1 Z-2 R1", "needs Q"),
        ("G81 X1 Z-2 R1 L0", "at least 1"),
        ("G86 X1 Z-2 R1", "needs P"),
        ("G87 X1 Z-2 R1 I1 J0", "needs I, J and K"),
        ("G87 X1 Z-2 R1 I1 J0 K-3", "K lies below Z"),
        ("G18 G81 X1 Z-2 R1", "needs Y"),
        ("G19 G81 Y1 Z-2 R1", "needs X"),
        ("G18 G81 X1 Y2 R1", "R lies below Y"),
        ("G81 X1 Z-2 R1 P1", "nothing on this line to use it"),
        ("G82 X1 Z-2 R1 P1 Q1", "nothing on this line to use it"),
        ("G83 X1 Z-2 R1 Q1 I1", "nothing on this line to use it"),
        ("G93 G81 X1 Z-2 R1 F1", "inverse time feed mode"),
        ("G41 G81 X1 Z-2 R1", "cutter compensation on"),
    ],
)
def test_illegal_cycles_are_refused(line: str, reason: str) -> None:
    trace = read(line, start=START)
    assert reason in errors(trace)[0][1] and len(trace) == 0


# --- home -------------------------------------------------------------------------------------------------------------


def test_the_way_home_leads_through_the_named_place() -> None:
    trace = read("#5161=1 #5162=2 #5163=3", "G28 X10 Z20", "G30", start=START)
    assert trace.end.tolist() == [[10, 0, 20], [1, 2, 3], [0, 0, 0]]
    assert kinds(trace) == [Step.RAPID] * 3 and trace.text[0] == "G28 X10 Z20"
    assert [u.line for u in trace.unread] == [3] and "taken as machine zero" in trace.unread[0].reason
