"""Looks, witness marks and new tips: where they stand in the program, and that the proof holds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof import api
from kerfproof.cut_plan import PauseKind
from kerfproof.gcode.trace import Step
from support.shop.shop import built_in, chart, cut, dxf, starts


def grid(space) -> None:
    for i in range(3):
        for j in range(3):
            x, y = 80 * i, 70 * j
            space.add_lwpolyline([(x, y), (x + 60, y), (x + 60, y + 50), (x, y + 50)], close=True)
            space.add_circle((x + 15, y + 25), 6)
            space.add_circle((x + 45, y + 25), 6)


def of(outcome, kind: PauseKind) -> list[int]:
    return [p.after for p in outcome.plan.pauses if p.kind is kind]


@pytest.mark.parametrize("name", list(starts()))
def test_every_nth_cut_the_torch_stands_over_the_witness_mark_off_and_raised(name):
    machine = replace(starts()[name], witness_every=6, witness_x=5.0, witness_y=7.0)
    outcome = cut(dxf(grid), machine)
    assert outcome.ok
    assert of(outcome, PauseKind.WITNESS) == [5, 11, 17, 23]
    trace = outcome.proof.trace
    stops = np.flatnonzero(trace.kind == Step.STOP)
    there = stops[np.abs(trace.end[stops, :2] - trace.xy_origin - [5.0, 7.0]).max(axis=1) < 1e-6]
    first = [] if name == "contact none" else [0]  # the mark is made before the first cut, there by hand
    assert not trace.torch[there].any()
    text = outcome.program.text
    assert text.count("witness: the tip must stand over the mark, X5 Y7") == 4
    lights = np.flatnonzero(trace.kind == Step.TORCH_ON)
    assert np.searchsorted(lights, there).tolist() == [*first, 6, 12, 18, 24]


@pytest.mark.parametrize(("at", "loose"), [((5.0, 7.0), False), ((40.0, 30.0), True), ((26.0, 36.0), True)])
def test_a_witness_mark_on_metal_that_is_cut_loose_is_told(at, loose):
    outcome = cut(dxf(grid), replace(built_in(), witness_every=6, witness_x=at[0], witness_y=at[1]))
    assert ("witness-on-loose-metal" in {f.rule for f in outcome.findings}) == loose


def test_new_tips_come_between_parts_within_the_tip_life():
    machine = replace(built_in(), tip_changes=True, tip_change_x=0.0, tip_change_y=0.0)
    outcome = cut(dxf(grid), machine, thickness=8.0)  # 25 starts per tip by the chart, 27 cuts of 9 parts
    assert outcome.process.starts_per_tip == 25
    assert of(outcome, PauseKind.TIP) == [23]
    assert not {"tip-life-over", "tip-change-inside-part"} & {f.rule for f in outcome.findings}
    assert "tip-life-over" in {f.rule for f in cut(dxf(grid), thickness=8.0).findings}


def test_a_tip_that_has_starts_behind_it_is_changed_sooner():
    machine = replace(built_in(), tip_changes=True)
    shop = api.Shop(machine, chart(), tip_used=0.4)  # 10 of 25 starts
    job = cut(dxf(grid), machine, thickness=8.0).job
    outcome = api.plan(job, {"part.dxf": dxf(grid)}, shop)
    assert of(outcome, PauseKind.TIP) == [14] and outcome.ok
    plain = api.plan(job, {"part.dxf": dxf(grid)}, replace(shop, machine=built_in()))
    told = [f for f in plain.findings if f.rule == "tip-outrun"]
    assert not of(plain, PauseKind.TIP) and len(told) == 1
    assert "about 15 of 25 starts left, the program lights 27 times" in told[0].message


def test_a_part_with_more_holes_than_a_tip_lasts_is_told():
    def sieve(space) -> None:
        space.add_lwpolyline([(0, 0), (600, 0), (600, 300), (0, 300)], close=True)
        for i in range(30):
            space.add_circle((35 + 55 * (i % 10), 50 + 90 * (i // 10)), 10)

    outcome = cut(dxf(sieve), replace(built_in(), tip_changes=True), thickness=8.0)
    assert "tip-outrun" in {f.rule for f in outcome.findings}
    assert not of(outcome, PauseKind.TIP)


def test_looks_stand_after_the_first_cuts_with_the_torch_off():
    outcome = cut(dxf(grid), replace(built_in(), first_looks=2))
    assert of(outcome, PauseKind.LOOK) == [0, 1]
    trace = outcome.proof.trace
    looks = np.flatnonzero(trace.kind == Step.OPTIONAL_STOP)
    assert len(looks) == 2 and not trace.torch[looks].any()
    assert "resume --unlit 1)" in outcome.program.text


def test_nothing_is_read_until_the_inputs_have_settled():
    outcome = cut(dxf(grid), replace(built_in(), settle_s=4.0))
    assert outcome.ok
    trace = outcome.proof.trace
    seconds = np.where(trace.kind == Step.DWELL, trace.value, trace.seconds)
    way = np.abs(trace.end - trace.start)
    rapid = 60.0 * np.maximum(way[:, :2].max(axis=1) / built_in().rapid_mm_min, way[:, 2] / built_in().z_rapid_mm_min)
    clock = np.cumsum(np.where(trace.kind == Step.RAPID, rapid, seconds))
    for off in np.flatnonzero((trace.kind == Step.TORCH_OFF) & trace.torch):
        probes = np.flatnonzero((trace.kind == Step.PROBE) & (np.arange(len(trace)) > off))
        if len(probes):
            assert clock[probes[0] - 1] - clock[off] >= 4.0 - 1e-6


def test_a_machine_that_asks_for_nothing_has_no_pause():
    assert cut(dxf(grid)).plan.pauses == ()
