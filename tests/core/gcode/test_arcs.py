"""Arcs: tolerance, formats, planes, absolute centres."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.gcode.trace import Step
from support.programs.reading import PUBLISHED, errors, kinds, read


@pytest.mark.parametrize(
    ("head", "y", "refused"),
    [("G21", 0.19, False), ("G21", 0.21, True), ("G20", 0.06, False), ("G20", 0.067, True)],
)
def test_the_radius_tolerance_is_002_mm_or_0002_inch(head: str, y: float, refused: bool) -> None:
    # NISTIR 6556, 3.5.3.2. mm: 0.0018 passes, 0.0022 does not; inch: 0.00018 and 0.00022.
    trace = read(f"{head} F100", f"G2 X20 Y{y} I10 J0")
    gap = abs(math.hypot(10, y) - 10)
    assert (gap > {"G21": 0.002, "G20": 0.0002}[head]) is refused
    assert (len(errors(trace)) == 1) is refused and (len(trace) == 0) is refused
    if refused:
        # Rules know the finding by the beginning of its reason.
        assert errors(trace)[0][1].startswith("start and end radius of the arc differ")
    else:
        assert trace.radius_gap[0] == pytest.approx(-gap * (25.4 if head == "G20" else 1.0))


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("G2 X10", "needs its centre or its radius"),
        ("G2 Z5 I5", "needs X or Y"),
        ("G2 X10 I5 R5", "by radius and by centre at once"),
        ("G2 X10 K5", "K does not belong"),
        ("G2 X10 R4", "too small to reach"),
        ("G2 X0 R5", "can't end where it starts"),
        ("G2 X10 R0", "no radius"),
        ("G2 X0 Y0 I0 J0", "no radius"),
        ("G53 G2 X10 I5", "G0 and G1 only"),
    ],
)
def test_impossible_arcs_are_refused(line: str, reason: str) -> None:
    trace = read("F100", line)
    assert len(trace) == 0 and reason in errors(trace)[0][1]


def test_an_arc_in_error_is_left_out_and_does_not_spoil_the_next() -> None:
    trace = read("F100", "G3 X20 Y0.5 I10", "G3 X0 Y0.5 I-10")
    assert [line for line, _ in errors(trace)] == [2]
    assert trace.start.tolist() == [[20.0, 0.5, 0.0]] and trace.center.tolist() == [[10.0, 0.5]]


def test_a_negative_radius_takes_the_long_way() -> None:
    for word, radius, sweep in (("G2", 5, -90), ("G2", -5, -270), ("G3", 5, 90), ("G3", -5, 270)):
        trace = read("F1", f"{word} X{5 * math.sqrt(2):.6f} R{radius}")
        assert math.degrees(trace.sweep[0]) == pytest.approx(sweep, abs=1e-3)


def test_absolute_centres_are_measured_from_the_origin() -> None:
    dialect = replace(PUBLISHED, arc_centers_absolute=True, arc_center_word="G90.1")
    lines = ("F100", "G92 X-3", "G0 X10 Y0", "G3 X10 Y20 I10 J10", "G91.1", "G3 X10 Y0 J-10", "G90.1 G2 X30 I20 J0")
    trace = read(*lines, control=dialect)
    arcs = trace.kind == Step.ARC
    assert errors(trace) == []
    assert trace.center[arcs].tolist() == [[13.0, 10.0], [13.0, 10.0], [23.0, 0.0]]
    assert trace.modes["arc_center"] == "G90.1"
    # The same words mean another arc where centres are increments.
    assert read("F100", "G0 X10", "G3 X10 Y20 I10 J10").center[-1].tolist() == [20.0, 10.0]
    assert "needs I and J" in errors(read("F100", "G0 X10", "G3 X10 Y20 I10", control=dialect))[0][1]


def test_arcs_in_other_planes_become_chords_on_the_arc() -> None:
    for head, line, axes in (("G18", "G2 X10 Z0 I5 K0", (2, 0)), ("G19", "G3 Y10 J5", (1, 2))):
        trace = read("F100", head, line)
        assert set(kinds(trace)) == {Step.FEED} and len(trace) > 20
        middle = np.zeros(3)
        middle[axes[1] if head == "G18" else axes[0]] = 5.0
        assert np.linalg.norm(trace.end - middle, axis=1) == pytest.approx(np.full(len(trace), 5.0))
        # Seen from the positive third axis G3 turns left, G2 right (3.5.3): both bow to the same side here.
        a, b = axes
        turn = (trace.start[:, a] - middle[a]) * (trace.end[:, b] - middle[b])
        turn -= (trace.start[:, b] - middle[b]) * (trace.end[:, a] - middle[a])
        assert (np.sign(turn) == (-1 if head == "G18" else 1)).all()
        assert trace.seconds.sum() == pytest.approx(5 * math.pi / 100 * 60, rel=1e-3)


def test_an_arc_of_absurd_radius_still_has_a_bounded_number_of_chords() -> None:
    trace = read("F100", "G18", "G2 X9 Z9 R1000000000")
    assert 1 <= len(trace) <= 2000 and np.isfinite(trace.end).all()
