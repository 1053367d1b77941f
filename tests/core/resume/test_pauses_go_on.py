"""What the machine asks for between cuts, a resumed program does too: looks, witness, new tips, rests."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof import api
from kerfproof.cut_plan import PauseKind
from kerfproof.gcode.load import WINDOW, burns_of, rest_seconds
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.timing import cut_times
from kerfproof.gcode.trace import Step
from kerfproof.job.job import Rests
from kerfproof.resume.combined_proof import Setup
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from support.shop.shop import built_in, cut, dxf, starts


def row(space) -> None:
    for k in range(6):
        x = 70 * k
        space.add_lwpolyline([(x, 0), (x + 50, 0), (x + 50, 50), (x, 50)], close=True)
        space.add_circle((x + 15, 25), 6)
        space.add_circle((x + 35, 25), 6)


def go(outcome, rests: Rests = Rests.TELL, **wish):
    closed, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    setup = Setup(
        machine=outcome.machine, process=outcome.process, control=control_of(outcome.machine), drawn=closed,
        slits=slits, plate=outcome.plan.plate, name="first.nc", digest="0123", rests=rests,
    )  # fmt: skip
    return resume(outcome.program.text, outcome.proof.trace, Wish(**wish), setup)


def of(made, kind: PauseKind) -> list[int]:
    return [p.after for p in made.plan.pauses if p.kind is kind]


@pytest.mark.parametrize("name", list(starts()))
def test_the_old_witness_mark_is_looked_at_first_and_then_as_often_as_ever(name):
    machine = replace(starts()[name], witness_every=4, witness_x=4.0, witness_y=6.0, first_looks=1)
    outcome = cut(dxf(row), machine)
    made = go(outcome, from_cut=7)
    assert made.ok
    assert of(made, PauseKind.WITNESS) == [3, 7] and of(made, PauseKind.LOOK) == [0]
    text = made.program.text
    assert "mark the plate" not in text
    assert text.index("over the old mark, else set XY zero anew") < text.index(machine.torch_on + "\n")
    trace = made.proof.trace
    stops = np.flatnonzero(np.isin(trace.kind, (Step.STOP, Step.OPTIONAL_STOP)))
    assert not trace.torch[stops].any()
    there = stops[np.abs(trace.end[stops, :2] - trace.xy_origin - [4.0, 6.0]).max(axis=1) < 1e-6]
    lights = np.flatnonzero(trace.kind == Step.TORCH_ON)
    first = [] if name == "contact none" else [0]  # there the person moves to the mark by hand
    assert np.searchsorted(lights, there).tolist() == [*first, 4, 8]


def test_a_rest_of_the_plate_shorter_than_the_interval_is_still_checked_against_the_mark():
    outcome = cut(dxf(row), replace(built_in(), witness_every=10))
    assert "over the old mark" in go(outcome, from_cut=17).program.text


def test_the_starts_of_the_first_program_count_on_the_tip_unless_it_is_new():
    machine = replace(built_in(), tip_changes=True)
    outcome = cut(dxf(row), machine, thickness=8.0)  # a tip lasts 25 starts there: none changed in 18
    worn = replace(outcome, process=replace(outcome.process, starts_per_tip=10))
    made = go(worn, from_cut=7)  # of 10 starts 6 are gone: 4 are left, so one part, then a new tip
    assert of(made, PauseKind.TIP) == [2] and made.ok
    assert of(go(worn, from_cut=7, new_tip=True), PauseKind.TIP) == [8]
    assert not {"tip-change-inside-part"} & {f.rule for f in made.findings}


def test_a_tip_that_is_used_up_before_a_part_ends_is_told():
    outcome = cut(dxf(row), replace(built_in(), tip_changes=True), thickness=8.0)
    worn = replace(outcome, process=replace(outcome.process, starts_per_tip=3))
    told = [f for f in go(worn, from_cut=6, at=80.0).findings if f.rule == "tip-outrun"]
    assert told and told[0].advice == "begin with a new tip"
    assert "tip-outrun" not in {f.rule for f in go(worn, from_cut=6, at=80.0, new_tip=True).findings}


@pytest.mark.parametrize("choice", [Rests.STOP, Rests.DWELL])
def test_rests_are_written_so_that_the_rating_holds(choice):
    machine = replace(built_in(), duty_percent=7.0, duty_amps=50.0)
    outcome = cut(dxf(row), machine)
    told = go(outcome, from_cut=4)
    assert "duty-over" in {f.rule for f in told.findings} and not of(told, PauseKind.REST)
    made = go(outcome, choice, from_cut=4)
    said = [f.message for f in made.findings if f.rule == "duty-over"]
    assert of(made, PauseKind.REST) and len(said) == (choice is Rests.STOP)
    assert all("only if the operator rests at" in message for message in said)
    assert f"(proof: rests = {choice.value})" in made.program.text
    trace = made.proof.trace
    burns = burns_of(trace, rest_seconds(trace, cut_times(trace, machine, control_of(machine))))
    on = [
        sum(max(0.0, min(e, end) - max(b, end - WINDOW)) for b, e in zip(burns.begin, burns.end, strict=True))
        for end in burns.end
    ]
    assert max(on) <= 0.07 * (50.0 / outcome.process.amps) ** 2 * WINDOW + 1e-6
