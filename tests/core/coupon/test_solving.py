"""What readings of the other pieces come to, against closed forms and simulated shops."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy import stats

from kerfproof.coupon.kinds.start import by_luck, wilson
from kerfproof.coupon.piece import CouponRequest, CouponResult, kind_of
from kerfproof.coupon.readings import parse_readings
from kerfproof.errors import KerfproofError
from kerfproof.gcode.machine_control import control_of
from kerfproof.shop.select_process import select_process
from support.shop import shop


def facts_of(kind: str) -> dict[str, Any]:
    machine = shop.built_in()
    process = select_process(shop.chart(), "mild steel", 3.0, None, machine)
    return dict(kind_of(kind).make(CouponRequest(machine=machine, process=process, control=control_of(machine))).facts)


FACTS = {name: facts_of(name) for name in ("feed", "pierce", "start", "hole", "float", "square")}


def solved(kind: str, text: str) -> CouponResult:
    k = kind_of(kind)
    return k.solve(FACTS[kind], parse_readings(text, k.asks(FACTS[kind])))


def rules(result: CouponResult) -> set[str]:
    return {f.rule for f in result.findings}


# --- feed -----------------------------------------------------------------------------------------------------


def test_the_best_rung_is_the_feed_and_between_two_lies_their_mean() -> None:
    feeds = FACTS["feed"]["feeds"]
    assert solved("feed", "best = 4").values["feed_mm_min"] == feeds[3]
    result = solved("feed", "best = 3 4")
    assert result.values["feed_mm_min"] == pytest.approx((feeds[2] + feeds[3]) / 2, abs=0.5)
    assert result.ok and result.changes[0].place == ("feed",)


def test_marks_along_a_parabola_give_its_top() -> None:
    feeds = np.array(FACTS["feed"]["feeds"])
    top = 2050.0
    marks = 9 - 8 * ((feeds - top) / 700) ** 2
    text = " ".join(f"R{k + 1}={m:.4f}" for k, m in enumerate(marks))
    assert solved("feed", text).values["feed_mm_min"] == pytest.approx(top, abs=2)


@pytest.mark.parametrize(
    ("text", "rule", "ok"),
    [
        ("best = 2 6", "rungs-apart", False),
        ("best = 7", "ladder-too-short", True),
        ("best = 1", "ladder-too-short", True),
        ("R1=1 R2=2 R3=3 R4=4 R5=5 R6=6 R7=9", "marks-without-top", False),
        ("R1=1 R2=5 R3=8 R4=80 R5=6", "reading-impossible", False),
    ],
)
def test_what_a_ladder_cannot_say_is_named(text: str, rule: str, ok: bool) -> None:
    result = solved("feed", text)
    assert rule in rules(result) and result.ok is ok


def test_a_rung_that_is_not_there_is_refused() -> None:
    with pytest.raises(KerfproofError, match="there is no '9'"):
        solved("feed", "best = 9")
    with pytest.raises(KerfproofError, match="too few"):
        solved("feed", "R1=3 R2=4")


# --- pierce ---------------------------------------------------------------------------------------------------


def test_the_pierce_delay_is_the_first_from_which_on_all_are_through_and_half_a_step() -> None:
    delays = FACTS["pierce"]["delays"]
    result = solved("pierce", "through = 3 4 5 6 7")
    step = delays[1] - delays[0]
    assert result.values["pierce_delay_s"] == pytest.approx(delays[2] + step / 2, abs=0.006)
    assert result.ok


def test_one_that_is_through_too_early_is_named_and_not_counted() -> None:
    result = solved("pierce", "through = 2 4 5 6 7")
    assert "pierces-mixed" in rules(result)
    assert result.values["shortest_s"] == FACTS["pierce"]["delays"][3]


@pytest.mark.parametrize(("text", "rule"), [("through = none", "never-through"), ("through = 1 2", "last-not-through")])
def test_a_row_without_an_answer_gives_none(text: str, rule: str) -> None:
    result = solved("pierce", text)
    assert rule in rules(result) and not result.ok and not result.changes


# --- start ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("a", "b", "n"), [(10, 5, 10), (9, 10, 10), (3, 9, 10), (0, 10, 10), (7, 7, 10), (4, 12, 20)])
def test_luck_is_fishers_exact_test_as_scipy_has_it(a: int, b: int, n: int) -> None:
    assert by_luck(a, b, n) == pytest.approx(stats.fisher_exact([[a, n - a], [b, n - b]]).pvalue, rel=1e-9)


@pytest.mark.parametrize(("lit", "n"), [(0, 10), (5, 10), (9, 10), (10, 10), (13, 30)])
def test_the_shares_are_wilsons_interval_as_scipy_has_it(lit: int, n: int) -> None:
    wanted = stats.binomtest(lit, n).proportion_ci(0.95, method="wilson")
    assert wilson(lit, n) == pytest.approx((wanted.low, wanted.high), abs=1e-6)


def test_only_a_row_that_is_better_beyond_luck_changes_anything() -> None:
    rows = [row["label"] for row in FACTS["start"]["rows"]]
    longer = rows.index("light-delay 0.6 s") + 1
    tallies = {k: 5 for k in range(1, len(rows) + 1)}
    tallies[longer] = 10
    result = solved("start", " ".join(f"A{k}={v}" for k, v in tallies.items()))
    assert [(c.file, c.place, c.value) for c in result.changes] == [("machine", ("torch", "light_delay"), 0.6)]
    tallies[longer] = 7
    assert solved("start", " ".join(f"A{k}={v}" for k, v in tallies.items())).changes == ()


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("A1=11 A2=3", "reading-impossible"),
        ("A1=5 A2=-1", "reading-impossible"),
        ("A1=5.5", "reading-impossible"),
        ("A2=5", "row-missing"),
        ("A1=5 A1=6", "reading-twice"),
    ],
)
def test_tallies_that_are_none_are_named(text: str, rule: str) -> None:
    result = solved("start", text)
    assert rule in rules(result) and not result.ok


# --- hole -----------------------------------------------------------------------------------------------------


def test_the_holes_have_their_own_kerf_and_the_best_closure() -> None:
    cut = FACTS["hole"]["cut"]
    text = "\n".join(
        f"{n} = {h['path'] + 1.63 + (0.05 if k % 2 else -0.05):.3f} mm" for k, (n, h) in enumerate(cut.items())
    )
    result = solved("hole", text + "\nbest = A2 B2 C3")
    assert result.values["hole_kerf"] == pytest.approx(1.63, abs=0.01)
    assert result.values["over_burn"] == pytest.approx((1 + 1 + 2) / 3, abs=0.05)
    assert [c.place for c in result.changes] == [("hole_kerf",), ("hole_over_burn",)] and result.ok


def test_the_over_burn_in_the_text_is_what_the_facts_say() -> None:
    machine = shop.built_in()
    process = select_process(shop.chart(), "mild steel", 3.0, None, machine)
    piece = kind_of("hole").make(CouponRequest(machine=machine, process=process, control=control_of(machine)))
    seen = {}
    for run in piece.proof.runs:
        label = next(x for x in reversed(piece.program.text.splitlines()[: run.light_line]) if x.startswith("(part "))
        name = label.split(", ")[1].split(" ")[0]
        if name in piece.facts["cut"]:
            hole = piece.facts["cut"][name]
            around = math.pi * hole["path"]
            lead = math.pi * hole["path"] / 4  # a half circle on half the radius
            seen[name] = run.length - around - lead
    assert seen == {n: pytest.approx(h["over_burn"], abs=5e-3) for n, h in piece.facts["cut"].items()}


def test_closures_that_disagree_are_told() -> None:
    assert "closures-disagree" in rules(solved("hole", "best = A1 B4"))
    assert "reading-twice" in rules(solved("hole", "best = A1 A2"))


# --- float ----------------------------------------------------------------------------------------------------

TOUCHES = "touch = -19.01 -18.99 -19.00 -19.02 -18.98 -19.00 -19.01 -18.99 mm"


def test_a_gap_too_wide_means_less_float() -> None:
    # The carriage was raised by 19 mm, and stands 0.12 mm too high: the float is 18.88 mm.
    result = solved("float", f"gap = 1.12 mm\nzero = 0.12 mm\n{TOUCHES}")
    assert result.values["float"] == pytest.approx(18.88, abs=1e-3)
    assert solved("float", "gap = 0.7 mm").values["float"] == pytest.approx(19.3, abs=1e-3)
    places = [c.place[1] for c in result.changes]
    assert places == ["float", "float_measured_at", "float_acceleration", "float_spread"]


def test_how_the_trip_repeats_is_least_most_and_standard_deviation() -> None:
    values = np.array([-19.01, -18.99, -19.00, -19.02, -18.98, -19.00, -19.01, -18.99])
    result = solved("float", TOUCHES)
    assert result.values["trip_min"] == -19.02 and result.values["trip_max"] == -18.98
    assert result.values["std"] == pytest.approx(values.std(ddof=1), abs=1e-4)
    assert "touch-spreads" not in rules(result)


def test_a_spread_beyond_a_tenth_of_the_cut_height_is_a_warning() -> None:
    text = "touch = -19.09 -18.91 -19.08 -18.92 -19.07 -18.93 -19.0 -19.0 mm"
    assert "touch-spreads" in rules(solved("float", text))  # 0.18 mm, cut height 1.5 mm


def test_a_false_trip_is_named_and_left_out() -> None:
    result = solved("float", TOUCHES.replace("-19.02", "-17.2"))
    assert [f.message[:7] for f in result.findings if f.rule == "reading-outlier"] == ["touch 4"]
    assert result.values["trip_max"] == -18.98


def test_a_datum_taken_too_early_is_found_and_nothing_is_corrected() -> None:
    moved = "touch = -19.41 -19.39 -19.40 -19.42 -19.38 -19.40 -19.41 -19.39 mm"
    result = solved("float", f"first = -19 mm\ngap = 1.1 mm\n{moved}")
    assert "datum-timing" in rules(result) and not result.ok
    assert "datum-timing" not in rules(solved("float", f"first = -19 mm\n{TOUCHES}"))
    assert "datum-not-taken" in rules(solved("float", f"first = 0 mm\n{TOUCHES}"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("touch = 19.0 mm", "the sign is lost"),
        ("touch = -0.748 mm", "inches typed as mm"),
        ("touch = -482 mm", "mm typed as inches"),
        ("gap = -1 mm", "no gap"),
        ("gap = 25.4 mm", "mm typed as inches"),
    ],
)
def test_impossible_readings_of_the_float_are_named(text: str, words: str) -> None:
    result = solved("float", text)
    told = [f for f in result.findings if f.rule == "reading-impossible"]
    assert told and words in told[0].message and not result.ok


def test_gaps_that_contradict_each_other_are_not_averaged() -> None:
    result = solved("float", "zero = 0.6 mm\ngap = 1.0 mm")
    assert "gaps-disagree" in rules(result) and not result.ok


# --- square ---------------------------------------------------------------------------------------------------


def readings_of(scale_x: float, scale_y: float, lean_deg: float, noise: float = 0.0, seed: int = 0) -> str:
    """Return readings of the rectangle as such a machine cuts it, corner by corner."""
    facts, random = FACTS["square"], np.random.default_rng(seed)
    k = facts["kerf"]
    w, h = scale_x * (facts["width"] + k) - k, scale_y * (facts["height"] + k) - k
    q = math.radians(lean_deg)
    corners = np.array([(0, 0), (w, 0), (w + h * math.sin(q), h * math.cos(q)), (h * math.sin(q), h * math.cos(q))])

    def far(a: int, b: int) -> float:
        return float(np.hypot(*(corners[a] - corners[b])) + noise * random.standard_normal())

    return (
        f"width = {far(0, 1):.4f} {far(3, 2):.4f}\nheight = {far(0, 3):.4f} {far(1, 2):.4f}\n"
        f"d1 = {far(0, 2):.4f}\nd2 = {far(1, 3):.4f} mm"
    )


@pytest.mark.parametrize("lean", [-0.4, -0.05, 0.0, 0.12, 0.5])
def test_lean_and_scale_of_a_simulated_machine_are_found(lean: float) -> None:
    result = solved("square", readings_of(1.002, 0.999, lean))
    assert result.values["lean_deg"] == pytest.approx(lean, abs=2e-4)
    assert result.values["scale_x"] == pytest.approx(1.002, abs=1e-5)
    assert result.values["scale_y"] == pytest.approx(0.999, abs=1e-5)


def test_with_a_tapes_noise_they_are_found_within_it() -> None:
    result = solved("square", readings_of(1.002, 1.0, 0.2, noise=0.15, seed=4))
    assert result.values["lean_deg"] == pytest.approx(0.2, abs=0.06)
    assert result.values["scale_x"] == pytest.approx(1.002, abs=6e-4)


def test_the_diagonals_alone_tell_the_lean() -> None:
    facts = FACTS["square"]
    w, h = facts["width"], facts["height"]
    q = math.radians(0.3)
    d1, d2 = (math.sqrt(w * w + h * h + s * 2 * w * h * math.sin(q)) for s in (1, -1))
    result = solved("square", f"d1 = {d1:.5f} d2 = {d2:.5f} mm")
    assert result.values["lean_deg"] == pytest.approx(0.3, abs=1e-3)


def test_steps_are_turned_round_only_where_the_piece_can_tell() -> None:
    text = dict(solved("square", readings_of(1.002, 1.0, 0.0) + "\nsteps_x = 80\nsteps_y = 40").lines)
    assert "80 becomes 79.8403" in text["scale X"]  # 80 / 1.002
    assert "becomes" not in text["scale Y"]
    (kept,) = solved("square", readings_of(1.002, 1.0, 0.0)).changes
    assert kept.place == ("table", "square_note")  # shown and noted, never applied by itself


def test_a_slip_among_the_sides_is_named() -> None:
    text = readings_of(1.0, 1.0, 0.0).replace("d1 = ", "d1 = 900.0 #")
    assert "reading-impossible" in rules(solved("square", text))
    w = FACTS["square"]["width"]
    result = solved("square", readings_of(1.0, 1.0, 0.0) + f"\nwidth = {w + 3} mm")
    assert "reading-outlier" in rules(result) and not result.ok
