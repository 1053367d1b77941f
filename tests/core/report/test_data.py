from __future__ import annotations

import json
import math

import pytest

from kerfproof.report.data.job_report import number, part_proof, report, verdict
from support.shop import outcomes

KEYS = [
    "format",
    "drawing",
    "units",
    "program",
    "machine",
    "process",
    "parts",
    "drill",
    "cuts",
    "findings",
    "proof",
    "load",
    "skipped",
]


def test_the_report_has_exactly_its_top_level_keys_planned_or_not() -> None:
    assert list(report(outcomes.outcome())) == KEYS
    assert list(report(outcomes.outcome(planned=False))) == KEYS


def test_the_report_goes_through_json_unchanged() -> None:
    for planned in (True, False):
        data = report(outcomes.outcome(outcomes.WARNING, planned=planned))
        assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_the_report_tells_units_process_and_skipped() -> None:
    data = report(outcomes.outcome())
    assert data["format"] == 1
    assert data["units"] == {"source": "header", "mm_per_unit": 1.0, "name": "mm"}
    assert (data["process"]["kerf_mm"], data["process"]["feed_mm_min"], data["process"]["thickness_mm"]) == (
        1.5,
        2400,
        3,
    )
    assert data["skipped"] == [
        {"drawing": "plate.dxf", "kind": "TEXT", "layer": "NOTES", "handle": "3C", "reason": "text is not cut"}
    ]


def test_each_cut_tells_its_pierce_its_length_and_the_line_where_the_torch_lights() -> None:
    hole, outline = report(outcomes.outcome())["cuts"]
    assert (hole["feature"], hole["kind"], hole["part"], hole["line"]) == (1, "hole", "plate", 2)
    assert hole["pierce"] == [60, 55]
    # Half circle of 14.25 mm across from the centre, then the whole circle of radius 14.25.
    assert hole["length_mm"] == pytest.approx(math.pi * 14.25 / 2 + 2 * math.pi * 14.25, abs=1e-5)
    assert (outline["kind"], outline["line"], outline["handles"]) == ("outline", 6, ["1A"])


def test_size_is_that_of_the_kept_metal_and_left_out_holes_are_listed_to_drill() -> None:
    data = report(outcomes.outcome())
    assert data["drawing"]["size_mm"] == [140, 90]
    assert data["parts"][0]["left_out"] == [{"label": "hole 2 D10", "diameter_mm": 10, "center": [120, 70]}]


def test_the_times_are_those_of_the_program_read_back() -> None:
    program = report(outcomes.outcome())["program"]
    assert program["pierces"] == 1
    assert program["cut_length_mm"] == 40
    # 40 mm at 40 mm/s with 500 mm/s2: 1 s and twice half of 0.08 s for the ramps, at the most.
    assert 1.0 <= program["torch_on_s"] <= 1.2
    assert program["run_s"] > program["torch_on_s"]
    assert report(outcomes.outcome(planned=False))["program"]["torch_on_s"] is None


def test_the_proof_of_a_part_is_that_of_its_own_outline() -> None:
    outcome = outcomes.outcome()
    part = outcome.parts.parts[0]
    found = part_proof(outcome, part)
    assert found is not None
    assert found.contour == 0
    assert report(outcome)["proof"]["parts"][0]["comes_free"] is True


@pytest.mark.parametrize(
    ("findings", "planned", "word"),
    [
        ((), True, "PROVEN"),
        ((outcomes.WARNING,), True, "PROVEN WITH WARNINGS"),
        ((outcomes.WARNING, outcomes.ERROR), True, "NOT PROVEN"),
        ((), False, "NOT PROVEN"),
    ],
)
def test_the_verdict_weighs_all_findings(findings: tuple[object, ...], planned: bool, word: str) -> None:
    outcome = outcomes.outcome(*findings, planned=planned)  # type: ignore[arg-type]
    assert verdict(outcome) == word
    assert report(outcome)["proof"]["verdict"] == word
    assert report(outcome)["proof"]["ok"] is (word != "NOT PROVEN")


def test_numbers_are_rounded_and_what_json_cannot_say_is_none() -> None:
    assert number(0.1 + 0.2) == 0.3
    assert str(number(-1e-9)) == "0.0"
    assert number(None) is number(math.inf) is number(math.nan) is None
