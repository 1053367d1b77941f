"""Rests between cuts: enough, not inside a cut, and no more than needed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.errors import Severity
from kerfproof.gcode.load import load_of
from kerfproof.gcode.trace import Step
from kerfproof.job.job import Rests
from support.shop.shop import built_in, cut, dxf

AIR = {"air_flow_l_min": 150.0, "compressor_l_min": 60.0, "tank_l": 50.0, "tank_bar": 8.0, "air_least_bar": 5.5}


def many(space) -> None:
    for i in range(4):
        for j in range(4):
            x, y = 220 * i, 160 * j
            space.add_lwpolyline([(x, y), (x + 200, y), (x + 200, y + 140), (x, y + 140)], close=True)
            space.add_circle((x + 60, y + 70), 12)


def planned(rests: Rests, **changes):
    machine = replace(built_in(), travel_x=1200.0, travel_y=800.0, **changes)
    return cut(dxf(many), machine, rests=rests, thickness=6.0)


def trace_stops(outcome) -> int:
    return int((outcome.proof.trace.kind == Step.STOP).sum())


def rules(outcome) -> set[str]:
    return {f.rule for f in outcome.findings}


@pytest.fixture(scope="module")
def told():
    return planned(Rests.TELL, **AIR)


def test_too_much_torch_time_and_too_little_air_are_told_before_export(told):
    assert {"duty-over", "air-over"} <= rules(told)
    assert told.proof.verdict == "PROVEN WITH WARNINGS"
    assert not told.plan.pauses


@pytest.mark.parametrize("rests", [Rests.STOP, Rests.DWELL])
@pytest.mark.parametrize("air", [{}, AIR])
def test_rests_by_choice_keep_the_program_within_rating_and_air(rests, air):
    outcome = planned(rests, **air)
    told = {f.rule: f for f in outcome.findings if f.rule in ("duty-over", "air-over")}
    # A stop lets the operator go on at once: what holds only if he waits is told.
    assert set(told) == (set() if rests is Rests.DWELL else {"duty-over", "air-over"} if air else {"duty-over"})
    for finding in told.values():
        assert finding.severity is Severity.WARNING and "only if the operator rests at" in finding.message
        assert trace_stops(outcome) >= 1 and finding.line is not None
    load = load_of(outcome.proof.trace, outcome.machine, outcome.process.amps)
    assert load.worst_s <= 0.8 * load.allowed_s + 1e-6  # a rating of unknown temperature
    if air:
        assert load.tank_bar >= 5.5
    assert {p.dwell for p in outcome.plan.pauses} == {rests is Rests.DWELL}


def test_no_rest_stands_inside_a_cut():
    for rests in (Rests.STOP, Rests.DWELL):
        trace = planned(rests).proof.trace
        resting = (trace.kind == Step.STOP) | ((trace.kind == Step.DWELL) & (trace.value >= 30))
        assert resting.sum() > 3
        assert not trace.torch[resting].any()


def test_rests_are_no_longer_than_half_a_minute_beyond_need():
    outcome = planned(Rests.STOP)
    load = load_of(outcome.proof.trace, outcome.machine, outcome.process.amps)
    assert load.worst_s > 0.8 * load.allowed_s - 60


def test_a_cut_longer_than_the_rating_is_told_and_no_rest_is_blamed():
    slow = cut(
        dxf(lambda s: s.add_lwpolyline([(0, 0), (900, 0), (900, 600), (0, 600)], close=True)),
        replace(built_in(), travel_x=1200.0, travel_y=800.0, duty_percent=10.0),
        thickness=6.0, rests=Rests.STOP,
    )  # fmt: skip
    said = [f for f in slow.findings if f.rule == "duty-over"]
    assert len(said) == 1 and "one cut of" in said[0].message and "rests" not in said[0].advice


def test_a_rating_of_unknown_temperature_is_told_from_four_fifths_on():
    text = dxf(lambda s: s.add_lwpolyline([(0, 0), (900, 0), (900, 600), (0, 600)], close=True))
    machine = replace(built_in(), travel_x=1200.0, travel_y=800.0)
    first = cut(text, machine, thickness=6.0)
    on = load_of(first.proof.trace, machine, 50.0).worst_s
    near = replace(machine, duty_percent=100 * on / 600 / 0.9)
    assert "cool air" in next(f.message for f in cut(text, near, thickness=6.0).findings if f.rule == "duty-over")
    assert "duty-over" not in rules(cut(text, replace(near, duty_ambient_c=40.0), thickness=6.0))
