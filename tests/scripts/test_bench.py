"""The bench's own arithmetic: its inputs, its verdicts, and the outside solver's way made comparable."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

SCRIPTS = str(Path(__file__).resolve().parents[2] / "scripts")
sys.path.insert(0, SCRIPTS)  # the scripts import each other by name
try:
    import bench
    import bench_inputs
    import bench_quality
    import trusted_base
finally:
    sys.path.remove(SCRIPTS)


def test_the_dense_plate_has_the_lines_and_arcs_that_its_row_says() -> None:
    assert bench_inputs.count_primitives(500) == 60_000
    assert sum(len(polylines) + len(circles) for polylines, circles in bench_inputs.plate_parts(500)) == 4500


def test_the_same_seed_gives_the_same_bytes_and_another_seed_others() -> None:
    first = bench_inputs.plate_dxf(2)
    assert bench_inputs.plate_dxf(2) == first
    assert bench_inputs.plate_dxf(2, seed=21) != first


@pytest.mark.parametrize(
    ("value", "goal", "more", "met", "without_slack"),
    [
        (2.9, 3.0, False, True, True),
        (3.2, 3.0, False, True, False),
        (3.4, 3.0, False, False, False),
        (1.8, 1.7, True, True, True),
        (1.6, 1.7, True, True, False),
        (1.5, 1.7, True, False, False),
    ],
)
def test_a_tenth_of_slack_is_allowed_and_said(
    value: float, goal: float, more: bool, met: bool, without_slack: bool
) -> None:
    row = bench.judged("row", 2 * value, 2.0, goal, more)
    assert row.ratio == pytest.approx(value)
    assert (row.met, row.without_slack) == (met, without_slack)


def test_the_dummy_place_makes_a_closed_tour_an_open_way_from_the_start() -> None:
    points = np.array([(0.0, 0.0), (30.0, 0.0), (10.0, 0.0), (20.0, 0.0)])
    away = np.hypot(*(points[:, None] - points[None, :]).transpose(2, 0, 1))
    table = bench_quality._with_dummy(away)
    assert table[0][1] == 3000 and table[4][0] == 0 and table[4][2] == 1_000_000
    assert bench_quality._from_first([0, 2, 3, 1, 4, 0], 4) == [0, 2, 3, 1]
    assert bench_quality._from_first([0, 4, 1, 3, 2, 0], 4) == [0, 2, 3, 1]
    assert bench_quality._way(away, [0, 2, 3, 1]) == 30.0


def test_a_split_arc_at_the_start_of_a_contour_is_found() -> None:
    bow = float(np.tan(np.pi / 8))  # a quarter circle
    half = float(np.tan(np.pi / 16))
    split = np.array([(7.071067811865475, 7.071067811865475, half), (0, 10, 0), (-5, 10, 0), (10, 0, half)])
    split = np.vstack([split, [*split[0, :2], 0.0]])
    assert bench_quality._begins_in_an_arc(split)
    assert not bench_quality._begins_in_an_arc(np.array([(10, 0, bow), (0, 10, 0), (-5, 10, 0), (10, 0, 0.0)]))


def test_the_trusted_base_holds_reader_rules_and_simulated_table_and_no_planning_and_the_guide_lists_its_packages() -> (
    None
):
    modules, packages = trusted_base.lines_by_module(), trusted_base.lines_by_package()
    for name in ("gcode.reader.batch_moves", "proof.rules.torch.dwell_in_cut", "proof.evidence.simulated_table"):
        assert modules[f"kerfproof.{name}"] > 20
    assert not [name for name in modules if name.startswith(("kerfproof.plan", "kerfproof.gcode.writer"))]
    assert sum(packages.values()) == sum(modules.values()) == trusted_base.trusted_base()[0]
    guide = (Path(SCRIPTS).parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert [name for name in packages if f"| `{name}` | " not in guide] == []
