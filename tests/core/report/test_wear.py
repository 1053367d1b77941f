"""What a program takes, and its tour and drill list."""

from __future__ import annotations

import re

import numpy as np
import pytest

from kerfproof.gcode.trace import Step
from kerfproof.job.job import Mode, SmallHoles
from kerfproof.programs.read_header import read_claims
from kerfproof.report.data.job_report import report
from kerfproof.report.data.wear import pierces, wear
from support.shop import shop


def plate(space: object) -> None:
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)  # type: ignore[attr-defined]
    space.add_circle((50, 30), 10)  # type: ignore[attr-defined]
    space.add_circle((20, 40), 2)  # type: ignore[attr-defined]


DATA = shop.dxf(plate)


def test_starts_arc_time_and_length_are_those_of_the_report() -> None:
    outcome = shop.cut(shop.demo("gusset"), name="gusset.dxf")
    assert outcome.proof is not None
    took, told = wear(outcome.proof, outcome.machine), report(outcome)["program"]
    assert took.starts == told["pierces"] == 6
    assert took.arc_s == pytest.approx(told["torch_on_s"], abs=1e-3)
    assert took.cut_length == pytest.approx(told["cut_length_mm"], abs=1e-3)


def test_pierces_are_listed_with_place_and_name_from_the_text() -> None:
    outcome = shop.cut(shop.demo("gusset"), name="gusset.dxf")
    assert outcome.proof is not None and outcome.program is not None and outcome.plan is not None
    found = pierces(outcome.proof, outcome.program.text)
    assert [p.number for p in found] == [1, 2, 3, 4, 5, 6]
    for pierce, cut in zip(found, outcome.plan.cuts, strict=True):
        assert (pierce.x, pierce.y) == pytest.approx(cut.pierce, abs=1e-3)
        assert pierce.label == f"gusset, {cut.label}"
        assert outcome.program.text.splitlines()[pierce.line - 1].startswith("M3")


@pytest.mark.parametrize("name", ["contact-float-mm", "contact-float-inch", "contact-skip-mm", "pilot-ohmic-mm"])
def test_a_tour_stops_over_each_pierce_and_each_hole_to_drill_and_holds_no_torch_word(name: str) -> None:
    machine = shop.built_in(name)
    cut = shop.cut(DATA, machine, small_holes=SmallHoles.DRILL)
    tour = shop.cut(DATA, machine, small_holes=SmallHoles.DRILL, mode=Mode.TOUR)
    assert tour.ok and tour.program is not None and tour.proof is not None and cut.plan is not None
    text = re.sub(r"\([^)]*\)", "", tour.program.text)
    assert not re.search(r"\bM0?[34]\b|G38|G31", text)
    assert not re.search(r"^(?!G53).*Z", text, re.MULTILINE)  # never down: no Z in the work frame at all
    trace = tour.proof.trace
    stops = trace.end[np.flatnonzero(trace.kind == Step.STOP), :2]
    left = cut.left_out[0].contour.path.bounds()
    wanted = [*(c.pierce for c in cut.plan.cuts), ((left[0] + left[2]) / 2, (left[1] + left[3]) / 2)]
    assert stops == pytest.approx(np.array(wanted), abs=0.01)


def test_a_torch_word_in_a_tour_is_an_error() -> None:
    from kerfproof.gcode.machine_control import control_of
    from kerfproof.proof.evidence.evidence import Against
    from kerfproof.proof.prove import prove

    outcome = shop.cut(DATA, mode=Mode.TOUR, small_holes=SmallHoles.DRILL)
    assert outcome.program is not None
    bad = outcome.program.text.replace("M0\n", "M0\nM3\n", 1)
    proof = prove(
        bad, Against(control=control_of(outcome.machine), machine=outcome.machine, process=outcome.process, mode="tour")
    )
    assert "dry-run-not-dry" in {f.rule for f in proof.findings}
    assert not proof.ok


def test_holes_left_to_the_drill_are_named_in_the_head_of_the_program() -> None:
    outcome = shop.cut(DATA, small_holes=SmallHoles.DRILL)
    assert outcome.program is not None
    claims = read_claims(outcome.program.text)
    assert len(claims.left_names) == 1 and "D4" in claims.left_names[0]
    told = report(outcome)["drill"]
    assert told == [
        {"part": "part", "label": claims.left_names[0], "diameter_mm": 4.0, "center": list(claims.left_out[0])}
    ]
