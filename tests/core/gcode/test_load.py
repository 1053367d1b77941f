"""Torch time in ten minutes and air, against brute force and published or hand-worked figures."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.gcode.load import (
    Burns,
    allowed_seconds,
    load_of,
    longest_on_air,
    stated_rests,
    sure_seconds,
    tank_after,
    worst_windows,
)
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.interpreter import interpret
from support.shop.known_plate import MACHINE

AIRY = replace(MACHINE, air_flow_l_min=150.0, compressor_l_min=60.0, tank_l=24.0, tank_bar=8.0, air_least_bar=5.5)


def burns(seed: int) -> Burns:
    pick = random.Random(seed)
    at, rows = 0.0, []
    for _ in range(pick.randint(1, 40)):
        at += pick.uniform(1, 120)
        rows.append((at, at + pick.uniform(0.5, 200)))
        at = rows[-1][1]
    table = np.array(rows)
    return Burns(table[:, 0], table[:, 1], np.arange(len(rows)))


@pytest.mark.parametrize(
    ("duty", "at", "amps", "seconds"),
    [
        # Heat goes with the square of the current: 600 s x duty x (rated / used)^2, worked by hand.
        (35, 50, 50, 210), (35, 50, 45, 259), (35, 50, 40, 328), (35, 50, 35, 429), (35, 50, 30, 583),
        (35, 50, 25, 600),
        (60, 50, 50, 360), (60, 50, 45, 444), (60, 50, 40, 562), (60, 50, 35, 600),
        (35, 40, 40, 210), (35, 40, 35, 274), (35, 40, 30, 373), (35, 40, 25, 538),
    ],
)  # fmt: skip
def test_the_rating_grows_with_the_square_of_the_current_saved(duty, at, amps, seconds):
    machine = replace(MACHINE, duty_percent=float(duty), duty_amps=float(at))
    assert allowed_seconds(machine, amps) == pytest.approx(seconds, abs=1)


def test_a_rating_made_in_cool_air_counts_a_fifth_less_and_an_unknown_one_is_not_trusted():
    assert allowed_seconds(replace(MACHINE, duty_ambient_c=20.0), 50.0) == pytest.approx(0.8 * 210)
    assert sure_seconds(MACHINE, 50.0) == pytest.approx(0.8 * 210)
    assert sure_seconds(replace(MACHINE, duty_ambient_c=40.0), 50.0) == pytest.approx(210)


@given(st.integers(0, 10**9))
def test_the_worst_ten_minutes_are_those_of_a_sliding_sum(seed):
    b = burns(seed)
    step = 0.25  # plain sampling of the torch, and its sum over 600 s
    on = np.zeros(int(b.end[-1] / step) + 2)
    for begin, end in zip(b.begin, b.end, strict=True):
        on[round(float(begin) / step) : round(float(end) / step)] = step
    total = np.concatenate([[0.0], np.cumsum(on)])
    width = int(600 / step)
    sliding = max(total[k] - total[max(0, k - width)] for k in range(len(total)))
    assert worst_windows(b).max() == pytest.approx(sliding, abs=len(b.row) * step)


@pytest.mark.parametrize(("flow", "seconds"), [(150.0, 40.0), (100.0, 90.0)])
def test_a_tank_of_24_litres_sags_by_2_5_bar_in_40_to_90_seconds(flow, seconds):
    # 24 l x 2.5 bar = 60 l of free air; 60 l/min come back: 60 / 90 min and 60 / 40 min.
    assert longest_on_air(replace(AIRY, air_flow_l_min=flow)) == pytest.approx(seconds)


def test_a_compressor_that_keeps_up_lasts_for_ever_and_an_unknown_one_says_nothing():
    assert longest_on_air(replace(AIRY, compressor_l_min=150.0)) == float("inf")
    assert longest_on_air(replace(AIRY, tank_l=None)) is None


@given(st.integers(0, 10**9))
def test_the_tank_is_that_of_a_simulation_in_small_steps(seed):
    b, full, flow, delivery = burns(seed), 60.0, 2.5, 1.0
    got = tank_after(b.begin, b.end, full, flow, delivery)
    level, step, at, k, out = full, 0.05, 0.0, 0, []
    while k < len(b.begin):
        level = min(full, level + step * (delivery - (flow if at >= b.begin[k] else 0.0)))
        at += step
        if at >= b.end[k]:
            out.append(level)
            k += 1
    assert got == pytest.approx(np.array(out), abs=0.3 * (1 + len(out)) ** 0.5)


def test_a_program_is_read_from_its_text_alone():
    text = "G21 G90 G17 G94\nM3\nG4 P1\nG1 X100 F600\nM5\nG4 P20\nM3\nG1 X300 F600\nM5\nM2\n"
    load = load_of(interpret(text, control_of(MACHINE)), AIRY, 50.0)
    # 1 s + 100 mm at 10 mm/s, then 200 mm at 10 mm/s, each with a ramp of v/a = 10/500 s (v^2/2a at both ends).
    assert load.torch_s == pytest.approx(1 + 10.02 + 20.02, abs=0.01)
    assert load.worst_s == pytest.approx(load.torch_s)
    assert load.longest_s == pytest.approx(20.02, abs=0.01)
    assert load.air_l == pytest.approx((load.torch_s + 2 * AIRY.air_postflow_s) * 150 / 60, abs=0.1)


def test_a_stop_to_rest_counts_as_long_as_it_says_and_without_a_time_not_at_all():
    text = (
        "G21 G90 G94\n(MSG, rest 6 min, look at the tip)\nM0\nM0\n(rest)\nM0\n(rest 90 s)\nM1\n(rest 90 s)\nM60\nM2\n"
    )
    trace = interpret(text, control_of(MACHINE))
    assert [seconds for _, seconds in stated_rests(trace)] == [360, 90], "one stop to a comment, no optional stop"
    assert load_of(trace, MACHINE, 50.0).run_s == pytest.approx(360 + 90)
    assert load_of(trace, MACHINE, 50.0, rested=False).run_s == 0
    long = interpret("G21\n(rest 45 min)\nM0\nM2\n", control_of(MACHINE))
    assert stated_rests(long)[0][1] == 600, "a rating counts ten minutes"
    assert load_of(interpret("G21\nM0\nM2\n", control_of(MACHINE)), MACHINE, 50.0).run_s == 0


def test_a_program_without_an_arc_asks_for_nothing():
    load = load_of(interpret("G21 G90\nG0 X10\nM2\n", control_of(MACHINE)), AIRY, 50.0)
    assert (load.torch_s, load.worst_s, load.air_l, load.tank_row) == (0.0, 0.0, 0.0, None)
