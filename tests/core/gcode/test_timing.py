"""Motion times against closed forms and a plain loop."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.gcode.timing import cut_times, speeds, trapezoid
from kerfproof.gcode.trace import StartState, Trace
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from support.programs.reading import PUBLISHED, read

MACHINE = Machine(
    name="table",
    travel_x=1200,
    travel_y=1200,
    travel_z=100,
    rapid_mm_min=3000,
    z_rapid_mm_min=1200,
    acceleration_mm_s2=500,
    z_acceleration_mm_s2=200,
    dialect="ngc",
    inches=False,
    z_homed=True,
    start=StartKind.CONTACT,
    touch_off=TouchOff.FLOAT,
    path_tolerance=0.05,
    lookahead_blocks=1000,
)


def times(*lines: str, machine: Machine = MACHINE) -> list[float]:
    return [float(t) for t in cut_times(read(*lines), machine)]


def by_formula(d: float, v: float, a: float) -> float:
    """D / v + v / a if the speed is reached, else 2 sqrt(D / a): school physics."""
    return d / v + v / a if d >= v * v / a else 2 * math.sqrt(d / a)


@pytest.mark.parametrize(
    ("d", "v", "a", "entry", "leave", "expected"),
    [
        (100, 50, 500, 0, 0, 2.1),
        (100, 50, 250, 0, 0, 2.2),
        (2, 50, 500, 0, 0, 0.126491),
        (5, 50, 500, 0, 0, 0.2),
        (1000, 100, 400, 0, 0, 10.25),
        (300, 2500 / 60, 300, 0, 0, 7.338889),
        (20, 50, 500, 10, 0, 0.482),
        (1, 50, 500, 10, 20, 0.049545),
    ],
)
def test_single_moves_take_the_time_of_the_closed_form(
    d: float, v: float, a: float, entry: float, leave: float, expected: float
) -> None:
    one = [np.array([float(x)]) for x in (d, v, a, entry, leave)]
    seconds, top = trapezoid(*one)
    assert seconds[0] == pytest.approx(expected, abs=1e-5)
    assert max(entry, leave) <= top[0] <= v
    if not entry and not leave:
        assert seconds[0] == pytest.approx(by_formula(d, v, a), rel=1e-12)


def test_a_program_of_single_moves_adds_them_up() -> None:
    rows = times("F3000", "G1 X100", "G4 P0.5", "X102", "G0 X0")
    assert rows == pytest.approx([2.1, 0.5, 0.126491, by_formula(102, 50, 500)], abs=1e-6)


def test_each_axis_has_its_own_limits() -> None:
    assert times("G0 Z20") == pytest.approx([by_formula(20, 20, 200)])
    # 45 degrees: both flat axes at their limit make sqrt 2 times the speed and the acceleration.
    assert times("G0 X100 Y100") == pytest.approx([by_formula(100, 50, 500)])
    # Along (3, 4) in X and Z the slower Z rules: 1/0.8 of its limits.
    assert times("G0 X30 Z40") == pytest.approx([by_formula(50, 25, 250)])
    # A feed beyond what the axis can do is not reached.
    assert times("G1 Z20 F6000") == pytest.approx([by_formula(20, 20, 200)])


def test_a_straight_chain_is_passed_without_a_stop() -> None:
    rows = times("F3000", *(f"G1 X{x}" for x in range(1, 101)))
    assert sum(rows) == pytest.approx(2.1, abs=1e-9)


def test_a_corner_is_passed_at_the_speed_of_its_rounding() -> None:
    # A right angle left by e = 0.05 has the radius e cos 45 / (1 - cos 45) = 0.120711; v = sqrt(500 R) = 7.768870.
    v = math.sqrt(500 * 0.05 * math.cos(math.pi / 4) / (1 - math.cos(math.pi / 4)))
    assert v == pytest.approx(7.768870, abs=1e-6)
    leg = (100 - (2 * 50**2 - v * v) / 1000) / 50 + (100 - v) / 500
    assert times("F3000", "G1 X100", "G1 Y100") == pytest.approx([leg, leg])
    exact = replace(MACHINE, path_tolerance=None)
    assert times("F3000", "G1 X100", "G1 Y100", machine=exact) == pytest.approx([2.1, 2.1])
    assert times("G61", "F3000", "G1 X100", "G1 Y100") == pytest.approx([2.1, 2.1])
    rounding = replace(PUBLISHED, path_blend_word="G61")
    rounded = cut_times(read("G61", "F3000", "G1 X100", "G1 Y100"), MACHINE, rounding)
    assert rounded == pytest.approx([leg, leg])


def test_exact_stop_stops_even_on_a_straight_line() -> None:
    assert times("G61.1", "F3000", "G1 X100", "G1 X200") == pytest.approx([2.1, 2.1])


def test_turning_back_is_a_stop() -> None:
    assert times("F3000", "G1 X100", "G1 X0") == pytest.approx([2.1, 2.1])


def test_an_arc_is_no_faster_than_its_radius_allows() -> None:
    # v2 / R: 50 mm/s on R 5 needs just 500 mm/s2; on R 1.25 the limit is 25 mm/s.
    for radius, v in ((5.0, 50.0), (1.25, 25.0), (50.0, 50.0)):
        assert times("F3000", f"G2 X0 Y0 I{radius}") == pytest.approx([by_formula(2 * math.pi * radius, v, 500)])


def test_tangent_joints_between_lines_and_arcs_are_no_corners() -> None:
    whole = 2 * math.pi * 5 + 200
    rows = times(
        "F3000", "G1 X100", "G3 X100 Y10 J5", "G1 X0", "G3 X0 Y0 J-5", machine=replace(MACHINE, path_tolerance=None)
    )
    assert sum(rows) == pytest.approx(by_formula(whole, 50, 500))


def test_a_control_that_sees_few_moves_ahead_is_slower() -> None:
    # It must be able to stop within the moves it sees: with 1 mm moves and 2 of them v = sqrt(2 * 500 * 2) = 44.7.
    lines = ("F3000", *(f"G1 X{x}" for x in range(1, 101)))
    found = speeds(read(*lines), replace(MACHINE, lookahead_blocks=2))
    assert found.peak.max() <= math.sqrt(2 * 500 * 3) + 1e-9
    assert found.entry[50] == pytest.approx(math.sqrt(2 * 500 * 2))
    assert found.seconds.sum() > 2.1


def test_a_stop_between_moves_is_a_stop() -> None:
    for between in ("M3", "M5", "G4 P0", "M0", "G92 Z0", "G0 X100 Y1", "G38.2 Z-5"):
        rows = times("F3000", "G1 X100", between, "G1 X200 Y0")
        assert rows[0] == pytest.approx(2.1)


def test_the_controls_own_delay_counts_once() -> None:
    slow = replace(MACHINE, torch_on_delay_s=0.75)
    assert times("M3", "M3", "M5", "M0", "M2", machine=slow) == [0.75, 0.0, 0.0, 0.0, 0.0]


def test_a_helix_is_timed_along_its_length() -> None:
    length = math.hypot(2 * math.pi * 50, 10)
    assert times("F600", "G2 X0 Y0 Z10 I50") == pytest.approx([by_formula(length, 10, 500)], rel=1e-3)


def test_an_empty_program_takes_no_time() -> None:
    assert times("(nothing)") == []


def _chain(seed: int, count: int) -> Trace:
    r = random.Random(seed)
    lines, x, y = ["F3000"], 0.0, 0.0
    for _ in range(count):
        x, y = round(x + r.uniform(-9, 9), 4), round(y + r.uniform(-9, 9), 4)
        lines.append(f"G1 X{x} Y{y}")
    return read(*lines, control=PUBLISHED, start=StartState())


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_random_chain_agrees_with_a_plain_two_way_loop(seed: int) -> None:
    trace, e = _chain(seed, 200), 0.05
    step = (trace.end - trace.start)[:, :2]
    length = np.hypot(step[:, 0], step[:, 1])
    unit = step / length[:, None]
    a = 500 / np.abs(unit).max(axis=1)
    v = np.zeros(len(step) + 1)
    for k in range(1, len(step)):
        half = math.cos(math.acos(max(-1.0, min(1.0, float(unit[k - 1] @ unit[k])))) / 2)
        v[k] = min(50.0, math.sqrt(500 * e * half / (1 - half)))
    for k in range(len(step) - 1, -1, -1):
        v[k] = min(v[k], math.sqrt(v[k + 1] ** 2 + 2 * a[k] * length[k]))
    for k in range(len(step)):
        v[k + 1] = min(v[k + 1], math.sqrt(v[k] ** 2 + 2 * a[k] * length[k]))
    found = speeds(trace, MACHINE)
    assert found.entry == pytest.approx(v[:-1], abs=1e-6) and found.exit == pytest.approx(v[1:], abs=1e-6)
    assert (found.peak <= 50.0 + 1e-9).all() and (found.seconds >= length / 50.0 - 1e-9).all()
