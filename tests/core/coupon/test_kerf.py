"""The kerf piece solved against synthetic pieces of known kerf: swept by shapely from the program's own motion."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString, box

from kerfproof.coupon.joint_fit import joint_fit
from kerfproof.coupon.kinds.kerf import STRANGE
from kerfproof.coupon.piece import Coupon, CouponRequest, CouponResult, kind_of
from kerfproof.coupon.readings import parse_readings
from kerfproof.gcode.machine_control import control_of
from kerfproof.shop.select_process import select_process
from support.shop import shop


def piece() -> Coupon:
    machine = shop.built_in()
    process = select_process(shop.chart(), "mild steel", 3.0, None, machine)
    return kind_of("kerf").make(CouponRequest(machine=machine, process=process, control=control_of(machine)))


PIECE = piece()
CUT = PIECE.facts["cut"]


def solved(readings: dict[str, list[float]]) -> CouponResult:
    text = "\n".join(f"{name} = {' '.join(f'{v:.4f}' for v in values)} mm" for name, values in readings.items())
    kind = kind_of("kerf")
    return kind.solve(PIECE.facts, parse_readings(text, kind.asks(PIECE.facts)))


def read_off(kerf_outlines: float, kerf_holes: float, noise: float = 0.0, seed: int = 0) -> dict[str, list[float]]:
    """Return two readings of each feature of a piece with these kerfs."""
    random = np.random.default_rng(seed)
    out = {}
    for name, size in CUT.items():
        true = size["path"] - kerf_outlines if name[0] == "S" else size["path"] + kerf_holes
        out[name] = [true + noise * float(random.standard_normal()) for _ in range(2)]
    return out


def rules(result: CouponResult) -> set[str]:
    return {f.rule for f in result.findings}


def test_the_paths_in_the_facts_are_those_of_the_program_as_shapely_measures_them() -> None:
    kerf = 1.62
    trace = PIECE.proof.trace
    burnt = []
    for run in PIECE.proof.runs:
        points = [tuple(trace.start[run.first_row, :2])]
        for row in range(run.first_row, run.last_row + 1):
            points += _arc(trace, row)
        burnt.append(LineString(points).buffer(kerf / 2, quad_segs=64))
    plate = box(*PIECE.plate)
    for gap in burnt:
        plate = plate.difference(gap)
    pieces = sorted(plate.geoms, key=lambda p: p.area)
    squares = [p for p in pieces if p.interiors and p.area < 0.5 * pieces[-1].area]
    sizes = sorted(p.bounds[2] - p.bounds[0] for p in squares)
    wanted = sorted(size["path"] - kerf for name, size in CUT.items() if name[0] == "S")
    assert sizes == pytest.approx(wanted, abs=2e-3)
    holes = sorted(max(p.interiors, key=lambda r: r.length).bounds for p in squares)
    across = sorted(b[2] - b[0] for b in holes)
    assert across == pytest.approx(sorted(s["path"] + kerf for n, s in CUT.items() if n[0] == "H"), abs=0.02)
    readings = {f"S{k + 1}": [size, size] for k, size in enumerate(sizes)}
    readings |= {f"H{k + 1}": [size, size] for k, size in enumerate(across)}
    assert solved(readings).values["kerf"] == pytest.approx(kerf, abs=5e-3)


def _arc(trace: object, row: int) -> list[tuple[float, float]]:
    sweep = float(trace.sweep[row])  # type: ignore[attr-defined]
    end = trace.end[row, :2]  # type: ignore[attr-defined]
    if sweep == 0:
        return [(float(end[0]), float(end[1]))]
    center, start = trace.center[row], trace.start[row, :2]  # type: ignore[attr-defined]
    radius = float(np.hypot(*(start - center)))
    angles = np.arctan2(*(start - center)[::-1]) + np.linspace(0, sweep, 200)[1:]
    return [(float(center[0] + radius * np.cos(a)), float(center[1] + radius * np.sin(a))) for a in angles]


@pytest.mark.parametrize("kerf", [1.1, 1.45, 1.62, 2.4])
def test_a_known_kerf_is_found_exactly_without_noise(kerf: float) -> None:
    result = solved(read_off(kerf, kerf))
    assert result.values["kerf"] == pytest.approx(kerf, abs=1e-3)
    assert result.ok and result.changes[0].place == ("kerf",)


@pytest.mark.parametrize("seed", range(20))
def test_with_caliper_noise_the_kerf_lies_within_three_standard_errors(seed: int) -> None:
    noise = 0.08
    result = solved(read_off(1.6, 1.6, noise, seed))
    assert result.values["kerf"] == pytest.approx(1.6, abs=3 * result.values["kerf_error"])
    assert result.values["kerf_error"] < noise
    assert 0.3 * noise < result.values["spread"] < 2.5 * noise


def test_slack_makes_outlines_and_holes_smaller_and_is_no_kerf() -> None:
    result = solved(read_off(1.8, 1.5))
    assert result.values["kerf"] == pytest.approx(1.65, abs=1e-3)
    assert result.values["slack"] == pytest.approx(0.15, abs=1e-3)
    assert "kerf-by-kind" in rules(result)


CASES = {
    "all, true table": ("SH", 0.0, 0.0, 0.04, 0.0),
    "all, scale off": ("SH", 0.003, 0.0, 0.04, 0.0),
    "all, slack": ("SH", 0.0, 0.12, 0.04, 0.0),
    "all, both off": ("SH", -0.003, 0.12, 0.04, 0.0),
    "all, rough edges": ("SH", 0.002, 0.08, 0.12, 0.0),
    "all, ruled to 0.05": ("SH", 0.001, 0.05, 0.02, 0.05),
    "squares, true table": ("S", 0.0, 0.0, 0.04, 0.0),
    "squares, scale off": ("S", 0.003, 0.0, 0.04, 0.0),
    "holes, scale off": ("H", -0.003, 0.0, 0.04, 0.0),
}
"""Kinds measured, scale (share), slack (mm), scatter (mm, 1 sigma), step of the rule (mm)."""


@pytest.mark.parametrize("case", CASES)
def test_the_stated_error_is_honest_in_400_pieces(case: str) -> None:
    kinds, scale, slack, scatter, step = CASES[case]
    random = np.random.default_rng(list(CASES).index(case))
    names = [name for name in CUT for _ in range(2) if name[0] in kinds]
    paths, is_hole = np.array([CUT[name]["path"] for name in names]), [name[0] == "H" for name in names]
    sizes = paths * (1 + scale) - slack + np.where(is_hole, 1.6, -1.6)
    off, stated = np.empty(400), np.empty(400)
    for k in range(400):
        read = sizes + scatter * random.standard_normal(len(sizes))
        read = np.round(read / step) * step if step else read
        made = joint_fit(paths, read, is_hole, STRANGE)
        off[k], stated[k] = made.kerf.value - 1.6, made.kerf.error
    assert abs(off.mean()) < 0.2 * stated.mean()
    assert (abs(off) <= stated).mean() > 0.62 and (abs(off) <= 2 * stated).mean() > 0.93
    assert stated.mean() < 0.2, "and it is no excuse"


def test_one_kind_or_one_size_says_what_it_cannot_see_and_states_a_wider_error() -> None:
    # Squares of a table with 0.3 % too much scale and 0.1 mm slack: within what is stated, not within the scatter.
    names = [name for name in CUT for _ in range(3) if name[0] == "S"]
    off = {name: [CUT[name]["path"] * 1.003 - 0.1 - 1.6] * 3 for name in dict.fromkeys(names)}
    squares = solved(off)
    assert {"kerf-one-kind"} <= rules(squares) and "kerf-one-size" not in rules(squares)
    assert abs(squares.values["kerf"] - 1.6) <= 1.5 * squares.values["kerf_error"]
    assert "slack" not in squares.values and squares.values["kerf_error"] >= 0.1
    one = solved({"S1": off["S1"], "H1": [CUT["H1"]["path"] * 1.003 - 0.1 + 1.6] * 3})
    assert "kerf-one-size" in rules(one) and "scale" not in one.values
    assert abs(one.values["kerf"] - 1.6) <= 1.5 * one.values["kerf_error"]


def test_an_outlier_is_named_and_left_out() -> None:
    readings = read_off(1.6, 1.6, 0.05, 3)
    readings["H2"][1] += 0.9
    result = solved(readings)
    told = [f for f in result.findings if f.rule == "reading-outlier"]
    assert len(told) == 1 and told[0].message.startswith("H2 = ")
    assert result.values["kerf"] == pytest.approx(1.6, abs=0.1)
    assert result.ok


def test_two_outliers_in_one_kind_are_both_named() -> None:
    readings = read_off(1.6, 1.6, 0.03, 5)
    readings["S1"][0] += 0.8
    readings["S3"][1] -= 0.9
    told = [f.message[:2] for f in solved(readings).findings if f.rule == "reading-outlier"]
    assert sorted(told) == ["S1", "S3"]


@pytest.mark.parametrize(
    ("name", "change", "words"),
    [
        ("S1", lambda v: v / 25.4, "inches typed as mm"),
        ("S2", lambda v: v * 25.4, "mm typed as inches"),
        ("H1", lambda v: v * 10, "a decimal slipped"),
        ("H2", lambda v: -v, "more than 0"),
        ("H3", lambda v: v + 4.0, "too far off"),
        ("S1", lambda v: CUT["S2"]["size"] - 0.1, "the reading of S2"),
    ],
)
def test_a_reading_that_cannot_be_is_named_and_nothing_may_be_saved(name: str, change: object, words: str) -> None:
    readings = read_off(1.6, 1.6)
    readings[name][0] = change(readings[name][0])  # type: ignore[operator]
    result = solved(readings)
    told = [f for f in result.findings if f.rule == "reading-impossible"]
    assert len(told) == 1 and told[0].message.startswith(f"{name} = ") and words in told[0].message
    assert not result.ok
    assert result.values["kerf"] == pytest.approx(1.6, abs=2e-3)


def test_a_negative_kerf_is_named() -> None:
    readings = read_off(1.6, 1.6)
    readings["S2"] = [CUT["S2"]["path"] + 0.2]
    result = solved(readings)
    assert "kerf-negative" in rules(result) and not result.ok


def test_a_wrong_scale_of_the_axes_is_no_kerf() -> None:
    readings = {name: [v * 1.006 for v in values] for name, values in read_off(1.6, 1.6).items()}
    assert "scale-off" in rules(solved(readings))
    assert "scale-off" not in rules(solved(read_off(1.6, 1.6, 0.05, 1)))


def test_one_or_two_readings_are_used_with_a_warning() -> None:
    result = solved({"S1": [CUT["S1"]["path"] - 1.6]})
    assert result.values["kerf"] == pytest.approx(1.6, abs=1e-3)
    assert "few-readings" in rules(result)
