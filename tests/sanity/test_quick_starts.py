"""Starts that save time: one touch, a touch-off left out by consent, rapids down to where the search begins.

The limits are common practice, no source; the seconds are sums by hand of stretches with acceleration. What the planner
writes must be proven, and what lies just beyond each limit must be told.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.timing import speeds
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.limits import HEIGHT_BAND
from kerfproof.proof.prove import prove
from kerfproof.report.data.figures import figures
from kerfproof.shop.profile import Machine
from support.faulty.subject import Subject
from support.shop.shop import DIALECTS, built_in, cut, demo, dxf, starts

ROOT = built_in()
MEASURED = replace(ROOT, float_feed_mm_min=1000.0, touch_slow_mm_min=1000.0, float_spread=0.08)
CONSENT = replace(MEASURED, leave_touch_off_out=True)


def _row(pitch: float, count: int) -> Callable[[Any], None]:
    def draw(space: Any) -> None:
        long = pitch * (count + 1)
        space.add_lwpolyline([(0, 0), (long, 0), (long, 60), (0, 60)], close=True)
        for k in range(count):
            space.add_circle((pitch * (k + 1), 30), 4.0)

    return draw


@cache
def row_of_holes(machine: Machine = CONSENT, pitch: float = 18.0, count: int = 12, thickness: float = 3.0) -> Subject:
    """Return holes of 8 mm in a row and their outline, cut on a machine."""
    return Subject(cut(dxf(_row(pitch, count)), machine, "row.dxf", thickness=thickness))


def searches(subject: Subject) -> list[int]:
    """Return how many searches each cut has."""
    out = []
    for k in range(len(subject.blocks())):
        out.append(len(replace(subject, chosen=k).searches()))
    return out


def told(subject: Subject, lines: list[str], machine: Machine | None = None) -> dict[str, Severity]:
    """Return the rules that find something worse than a note, with the worst of each."""
    found: dict[str, Severity] = {}
    for f in subject.prove(subject.text(lines), machine).findings:
        if f.severity is not Severity.NOTE and found.get(f.rule) is not Severity.ERROR:
            found[f.rule] = f.severity
    return found


def left_out(subject: Subject, block: int) -> list[str]:
    """Return the lines with the touch-off of a block taken out, as the planner leaves them out."""
    one = replace(subject, chosen=block)
    lines, datums = one.lines, one.datums()
    down = next(k for k in range(datums[-1], len(lines)) if lines[k].startswith("G1 Z-"))
    return [*lines[: datums[0] - 1], "G0 Z3", "G1 Z-3 F600", *lines[down + 1 :]]


# --- what is written is proven ------------------------------------------------------------------------------


@pytest.mark.parametrize("machine", [MEASURED, CONSENT], ids=["one touch", "left out"])
@pytest.mark.parametrize("dialect", DIALECTS)
def test_quick_starts_are_proven_in_every_dialect_and_unit(dialect: str, machine: Machine):
    for inches in (False, True):
        made = replace(machine, dialect=dialect, path_tolerance=None, inches=inches)
        for subject in (row_of_holes(made), Subject(cut(demo("gusset"), made))):
            assert told(subject, subject.lines) == {}
            quick = any(count < 2 for count in searches(subject))
            assert quick == (dialect in ("ngc", "ngc_blend", "skip_macro"))  # the others can't stop at a false trip


def test_the_plate_is_touched_twice_first_and_every_tenth_time_once_else():
    assert searches(row_of_holes(MEASURED)) == [2, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 1, 1]
    assert searches(row_of_holes(replace(MEASURED, float_spread=0.11))) == [2] * 13
    assert searches(row_of_holes(replace(MEASURED, float_spread=None))) == [2] * 13
    assert searches(row_of_holes(MEASURED, pitch=310.0, count=2)) == [2, 2, 2]  # over 300 mm each


def test_touch_offs_are_left_out_four_times_in_a_row_and_within_a_hundred_millimetres():
    # 18 mm apart: four starts rely on one; 30 mm apart: three lie within 100 mm, the fourth is 120 mm away.
    assert searches(row_of_holes())[:11] == [2, 0, 0, 0, 0, 1, 0, 0, 0, 0, 2]
    assert searches(row_of_holes(pitch=30.0))[:9] == [2, 0, 0, 0, 1, 0, 0, 0, 1]
    thin = row_of_holes(thickness=2.0)
    assert min(searches(thin)) == 1
    assert min(searches(row_of_holes(replace(CONSENT, float_travel=8.0)))) == 1  # 3 mm are more than a third of it


@pytest.mark.parametrize("cut_height", [1.5, 1.0])
def test_the_verdict_holds_for_less_where_starts_rely_on_an_older_touch_off(cut_height: float):
    """Contact holds 1.5 mm lower; higher, the cut height of the chart may fall to 0.8 mm, the lower end of its band."""
    subject = row_of_holes()
    process = replace(subject.outcome.process, cut_height=cut_height, pierce_height=2 * cut_height)
    machine, control = subject.outcome.machine, control_of(subject.outcome.machine)
    holds = str(
        prove(subject.text(subject.lines), Against(control=control, machine=machine, process=process)).holds_for
    )
    older, room = searches(subject).count(0), round(cut_height - HEIGHT_BAND[0], 1)
    assert (
        f"plate within +-4 mm of the last touch-off, from 1.5 mm lower to {room:g} mm higher at {older} starts" in holds
    )
    assert "without a touch-off" not in str(row_of_holes(MEASURED).outcome.proof.holds_for)


def test_no_touch_off_is_left_out_after_a_stop_for_a_new_tip():
    pauses = row_of_holes(replace(CONSENT, witness_every=3))
    assert searches(pauses)[:10] == [2, 0, 0, 2, 0, 0, 2, 0, 0, 2]
    assert told(pauses, pauses.lines) == {}


# --- what lies beyond a limit is told -----------------------------------------------------------------------

RULE, SECOND = "torch-on-without-touch-off", "second-touch-left-out"


def test_a_fifth_start_in_a_row_without_touch_off_is_an_error():
    subject = row_of_holes()
    assert told(subject, left_out(subject, 5)).get(RULE) is Severity.ERROR


def test_a_start_120_mm_from_its_touch_off_is_an_error():
    subject = row_of_holes(pitch=30.0)
    assert told(subject, left_out(subject, 4)).get(RULE) is Severity.ERROR


def test_without_consent_or_on_thin_plate_the_same_program_is_an_error():
    subject = row_of_holes()
    assert told(subject, subject.lines, replace(CONSENT, leave_touch_off_out=False)).get(RULE) is Severity.ERROR
    thin = row_of_holes(thickness=2.0)
    assert told(thin, left_out(thin, 1)).get(RULE) is Severity.ERROR


def test_a_start_left_out_after_a_stop_is_an_error():
    subject = row_of_holes()
    lines = subject.lines
    at = subject.blocks()[1][0]
    assert told(subject, [*lines[:at], "M0", *lines[at:]]).get(RULE) is Severity.ERROR


def test_a_start_left_out_beside_a_kerf_is_an_error():
    """The tip's face has 6 mm: 9 mm from the middle of a hole of 8 mm it rests partly on its kerf."""
    subject = row_of_holes(pitch=18.0)
    one = replace(subject, chosen=2)
    go = one.find(r"^G0 .*X", one.here)
    assert go is not None
    lines = subject.lines
    x = float(re.search(r"X([\d.]+)", lines[go])[1]) - 9.0  # type: ignore[index]
    lines[go] = re.sub(r"X[\d.]+", f"X{x:.3f}", lines[go])
    assert told(subject, lines).get(RULE) is Severity.ERROR


@pytest.mark.parametrize("z", [-1.0, -0.5, -17.0])
def test_a_start_left_out_that_is_held_too_little_or_too_far_down_is_told(z: float):
    subject = row_of_holes()
    lines = subject.lines
    at = replace(subject, chosen=2).find(r"^G1 Z-3 F600$", subject.blocks()[2])
    assert at is not None
    lines[at] = f"G1 Z{z} F600"
    assert told(subject, lines).get(RULE) is Severity.ERROR


def _without_second(subject: Subject, block: int) -> list[str]:
    one = replace(subject, chosen=block)
    lines, found = one.lines, one.searches()
    trip = next(k for k in range(found[-1], len(lines)) if lines[k].startswith("G1 Z#5063"))
    up = next(k for k in range(found[0], found[-1]) if lines[k].startswith("G1 Z[#101+"))
    return [*lines[:up], *lines[trip:]]


@pytest.mark.parametrize("block", [0, 10])
def test_one_touch_at_the_first_start_or_at_a_tenth_in_a_row_is_told(block: int):
    subject = row_of_holes(MEASURED)
    assert SECOND in told(subject, _without_second(subject, block))


def test_one_touch_after_a_stop_or_far_away_is_told():
    subject = row_of_holes(MEASURED)
    lines, at = subject.lines, subject.blocks()[4][0]
    assert SECOND in told(subject, [*lines[:at], "M0", *lines[at:]])
    far = row_of_holes(MEASURED, pitch=310.0, count=2)
    assert SECOND in told(far, _without_second(far, 1))


@pytest.mark.parametrize(
    "other", [{"float_spread": None}, {"float_spread": 0.11}, {"float_feed_mm_min": 1100.0}], ids=str
)
def test_one_touch_of_a_head_that_was_measured_otherwise_is_told(other: dict[str, Any]):
    subject = row_of_holes(MEASURED)
    assert SECOND in told(subject, subject.lines, replace(MEASURED, **other))


def test_one_touch_without_its_band_guard_is_told():
    subject = row_of_holes(MEASURED)
    lines = subject.lines
    at = replace(subject, chosen=4).find(r"^#102=SQRT\[4-ABS", subject.blocks()[4])
    assert at is not None
    assert "touch-off-unlike-others" in told(subject, [*lines[:at], *lines[at + 1 :]])


# --- rapids down ---------------------------------------------------------------------------------------------


def test_a_rapid_down_that_a_plate_a_band_higher_would_meet_is_an_error():
    subject = row_of_holes(replace(ROOT, hop=False))
    lines = subject.lines
    at = next(k for k in range(*subject.blocks()[3]) if lines[k].startswith("G0 Z-"))
    assert lines[at] == "G0 Z-19"  # 25 up, a band of 4 and 2 over it
    assert told(subject, lines) == {}
    deeper = [line.replace("G0 Z-19", "G0 Z-24") for line in lines]  # 1 over the plate as it was found
    assert told(subject, deeper).get("rapid-reaches-plate") is Severity.ERROR


@pytest.mark.parametrize("touch_off", ["pilot ohmic", "pilot float"])
def test_a_first_search_begins_over_the_stated_slats(touch_off: str):
    machine = replace(starts()[touch_off], slat_top=-80.0)
    subject = row_of_holes(machine, count=3)
    assert "G53 G0 Z-67" in subject.lines  # 80 less 3 of plate, 10 over it
    assert told(subject, subject.lines) == {}
    deeper = [line.replace("G53 G0 Z-67", "G53 G0 Z-74") for line in subject.lines]  # 3 over the plate
    assert told(subject, deeper).get("rapid-reaches-plate") is Severity.ERROR


# --- contact and cut height where the plate lies otherwise -----------------------------------------------------


@pytest.mark.parametrize(("moved", "cut_height"), [(-1.5, 3.0), (-0.8, 2.3), (0.0, 1.5), (0.7, 0.8)])
def test_a_start_left_out_is_in_contact_and_cuts_in_the_band_where_the_plate_has_moved(moved: float, cut_height: float):
    """From the words alone: Z of the light-up and of the cut, over a plate that lies `moved` above the last zero."""
    subject = row_of_holes()
    for block in (k for k, count in enumerate(searches(subject)) if not count):
        low, high = subject.blocks()[block]
        words = subject.lines[low:high]
        z = [float(w[1]) for line in words[: words.index("M3")] if (w := re.match(r"G[01] Z(-?[\d.]+)", line))]
        assert z == [3.0, -3.0]  # at the rapid it stays over the plate, at F600 it goes into the float
        assert z[0] - moved > 0
        assert -(MEASURED.float_travel - MEASURED.switch_hysteresis - 2.0) < z[1] - moved < 0.0
        burning = words[words.index("M3") :]
        at = [float(w[1]) for line in burning if (w := re.match(r"G1 Z(-?[\d.]+)", line))][-1]
        assert at - moved == pytest.approx(cut_height)
        assert HEIGHT_BAND[0] - 1e-9 <= at - moved <= HEIGHT_BAND[1] + 1e-9


# --- seconds ---------------------------------------------------------------------------------------------------


def stretch(way: float, feed: float, acceleration: float) -> float:
    """Return the seconds of a way (mm) from rest to rest: a trapezoid of speed, or a triangle where it is short."""
    v = feed / 60.0
    if way * acceleration >= v * v:
        return way / v + v / acceleration
    return float(2.0 * np.sqrt(way / acceleration))


def test_the_seconds_of_a_start_are_those_of_a_sum_by_hand():
    subject = row_of_holes(MEASURED)
    assert subject.outcome.proof is not None
    trace = subject.outcome.proof.trace
    seconds = speeds(trace, MEASURED, control_of(MEASURED)).seconds
    low, high = subject.blocks()[3]
    inside = (trace.line > low) & (trace.line <= high) & ~trace.torch
    # Travel of 18 mm at 7500 and 400 mm/s2; down 7 + 19 mm at 1000, up what ran on, up 18 at 1500, up 8.5 - 1.5 mm.
    hop = float(subject.lines[high - 1].split("Z")[1])
    a, overrun = 300.0, 1000 / 60 * 0.01 + (1000 / 60) ** 2 / 600
    by_hand = stretch(18.0, 7500.0, 400.0) + 0.1 + stretch(hop + 19.0, 1000.0, a) + stretch(overrun, 600.0, a) + 0.2
    by_hand += stretch(18.0, 1500.0, a) + 0.3 + stretch(hop - 1.5, 1500.0, a)
    assert float(seconds[inside].sum()) == pytest.approx(by_hand, abs=0.08)  # the touch itself is not braked to rest


def test_idle_seconds_fall_with_each_means():
    def idle(machine: Machine) -> float:
        outcome = row_of_holes(machine).outcome
        assert outcome.proof is not None
        return figures(outcome.proof, machine).idle_s

    before, once, none = idle(ROOT), idle(MEASURED), idle(CONSENT)
    assert once < before - 1.0 and none < once - 1.0
    assert none <= 3.0 and once <= 4.3
