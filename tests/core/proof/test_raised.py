"""Dry runs, frames and tours are compared with the drawing: each must go where the cut will."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kerfproof import api
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import Mode
from kerfproof.outcome import Outcome
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.prove import prove
from support.shop.shop import DEMOS, built_in, cut, demo


def raised(name: str, mode: Mode) -> Outcome:
    return cut(demo(name), mode=mode)


@pytest.fixture(scope="module")
def gusset() -> dict[Mode, Outcome]:
    return {mode: raised("gusset", mode) for mode in (Mode.DRY, Mode.FRAME, Mode.TOUR)}


def found(outcome: Outcome, text: str, placed: bool = True) -> list[tuple[str, str]]:
    contours, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    against = Against(
        control=control_of(outcome.machine),
        machine=outcome.machine,
        process=outcome.process,
        drawn=contours,
        slits=slits,
        plate=outcome.plan.plate,
        mode=outcome.plan.mode.value,
        placed=placed,
    )
    proof = prove(text, against)
    return [
        (f.rule, f.severity.value) for f in proof.findings if f.severity.value != "note" or f.rule == "not-compared"
    ]


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
def test_our_own_are_clean(name, mode):
    outcome = raised(name, mode)
    assert not [f for f in found(outcome, outcome.program.text) if f[1] == "error"]


def test_a_dry_run_along_another_way_is_told_as_a_cut_would_be(gusset):
    dry = gusset[Mode.DRY]
    text = dry.program.text
    assert found(dry, text) == found(dry, text, placed=False) == []
    blocks = re.split(r"(?m)^(?=\(cut \d)", text)
    assert found(dry, "".join([*blocks[:2], *blocks[3:]])) == [("feature-not-cut", "error")]
    beside = re.sub(r"X(-?[\d.]+)", lambda w: f"X{float(w[1]) + 0.6:.4f}", blocks[1])
    assert {rule for rule, _ in found(dry, "".join([blocks[0], beside, *blocks[2:]]))} == {"gouge", "metal-left"}
    assert ("raised-path-differs", "error") in found(dry, re.sub(r"(?m)^G[123] .*\n", "", text))


def test_a_tour_that_leaves_out_a_pierce_or_goes_elsewhere_is_told(gusset):
    tour = gusset[Mode.TOUR]
    text = tour.program.text
    for number in range(6):
        stops = re.findall(r"(?m)^G0 X.*\n\(MSG.*\nM0\n", text)
        assert found(tour, text.replace(stops[number], "")) == [("raised-path-differs", "error")]
        moved = re.sub(r"^G0 X\S+ Y\S+", "G0 X50 Y25", stops[number])
        assert ("raised-path-differs", "error") in found(tour, text.replace(stops[number], moved))
    assert found(tour, text, placed=False) == [("not-compared", "note")]


def test_a_frame_of_another_box_is_told(gusset):
    frame = gusset[Mode.FRAME]
    text = frame.program.text
    assert found(frame, text.replace("X212.175", "X112.175")) == [("raised-path-differs", "error")]
    assert found(frame, text.replace("X212.175", "X211.9")) == [("raised-path-differs", "error")]
    assert found(frame, text, placed=False) == [("not-compared", "note")]


def test_a_dry_run_where_each_hole_has_its_own_kerf_is_not_compared(gusset):
    dry = gusset[Mode.DRY]
    other = replace(dry, process=replace(dry.process, hole_kerf=1.2))
    assert found(other, dry.program.text) == [("not-compared", "note")]
    assert built_in() == dry.machine
