"""The joint piece: no arc, the path of a circle, and what the stopwatch tells; times by hand."""

from __future__ import annotations

import math
import re

import pytest

from kerfproof.coupon.piece import Coupon, CouponRequest, CouponResult, kind_of
from kerfproof.coupon.readings import parse_readings
from kerfproof.gcode.machine_control import control_of
from kerfproof.shop.select_process import select_process
from support.shop import shop

# 10 rounds of 62.83 mm at 2200 mm/min = 36.67 mm/s are 17.136 s; speeding up and braking at 400 mm/s2 adds 0.092 s.
SECONDS = 17.136 + 36.667 / 400.0


def made(name: str = "contact-float-mm") -> Coupon:
    machine = shop.built_in(name)
    process = select_process(shop.chart(), "mild steel", 3.0, None, machine)
    return kind_of("joints").make(CouponRequest(machine=machine, process=process, control=control_of(machine)))


PIECE = made()


def solved(text: str) -> CouponResult:
    kind = kind_of("joints")
    return kind.solve(PIECE.facts, parse_readings(text, kind.asks(PIECE.facts)))


@pytest.mark.parametrize("name", ["contact-float-inch", "contact-float-mm", "contact-skip-mm", "pilot-ohmic-mm"])
def test_it_lights_nothing_and_never_comes_down(name: str) -> None:
    piece = made(name)
    assert piece.ok and piece.proof.verdict.startswith("PROVEN")
    code = re.sub(r"\([^)]*\)", "", piece.program.text)
    assert not re.search(r"\bM0?3\b", code) and not re.search(r"^G[0123] .*Z-", code, re.MULTILINE)


def test_quarters_and_halves_go_the_same_way() -> None:
    moves = [line for line in PIECE.program.text.splitlines() if re.match(r"G[23] ", line)]
    places = [tuple(float(v) for v in re.findall(r"[XY](-?[\d.]+)", line)) for line in moves]
    assert len(moves) == 40 + 20
    (cx, cy) = (sum(p[0] for p in places[:4]) / 4, sum(p[1] for p in places[:4]) / 4)
    assert all(math.hypot(x - cx, y - cy) == pytest.approx(10.0, abs=2e-4) for x, y in places)


def test_the_predicted_time_is_that_of_a_hand_sum() -> None:
    assert kind_of("joints").asks(PIECE.facts)[0].expected == pytest.approx(SECONDS, abs=2e-3)


def test_a_fifth_more_time_means_that_the_control_stops_at_joints() -> None:
    # Coming to rest from 36.67 mm/s and going on costs v / a = 0.092 s at each of 40 joints: 3.67 s, 21 %.
    stops = solved(f"quarters = {SECONDS + 40 * 36.667 / 400:.2f} s\nhalves = {SECONDS + 20 * 36.667 / 400:.2f} s")
    assert [f.rule for f in stops.findings] == ["joints-stop"]
    assert stops.values["joint_s"] == pytest.approx(0.092, abs=0.002)
    assert solved(f"quarters = {1.02 * SECONDS:.2f} s\nhalves = {SECONDS:.2f} s").findings == ()


@pytest.mark.parametrize("text", ["quarters = 9 s", "quarters = 17.4 s\nhalves = 25 s", "halves = 11 s"])
def test_times_that_cannot_be_or_contradict_each_other_are_refused(text: str) -> None:
    assert not solved(text).ok
