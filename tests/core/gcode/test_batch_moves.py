"""Plain moves taken many at once do what they do one by one: the same trace to the last bit, the same mistakes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import kerfproof.gcode.reader.batch_moves as batch_moves
import kerfproof.gcode.reader.interpreter as interpreter
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.reader.control import Control
from support.programs.read_alike import FLAT, assert_read_alike, traced

ODD = (
    *("G1 X1 Y2 (note)", "(note)", "", "  ", "G20", "G21", "G91", "G90", "G92 X3 Y1", "G92.1", "G18", "G17", "G93"),
    *("G94", "F0", "F1000", "G90.1", "G91.1", "G1", "Y5", "N10 G1 X5 Y4", "g1 x3 y2", "X5 F200", "G0 Z5", "M3", "M5"),
    *("G4 P0.1", "/G1 X4", "G1 X#1 Y2", "#1=3", "G3 X5 Y5 R10", "G2 X1", "G2 I0 J0 X3", "G3 I5", "G1 X9999999.5"),
    *("G1 X1 X2", "G55", "X1 Y2 Z3", "G1 X1Y2", "G01 X4", "G1 é", "G54", "G10 L2 P2 X5 Y6", "G41", "G40", "G1  X5"),
    *("X1 Y1 Q2", "G80", "G38.2 Z-60 F100", "G00 Y2 X5", "X5 Y5 I1", "G1 X1 F0", "G1 X1.123456789012 Y3", "G0X-.5"),
    "G1 X000001.00000000 Y5.",
)
"""What may stand between plain moves; some of it is wrong, some of it changes what the moves behind it do."""


def number(rng: np.random.Generator) -> str:
    written = f"{rng.uniform(-60, 60):.{rng.integers(9)}f}"
    return str(rng.choice([written, written, written, "+" + written.lstrip("-"), written.replace("0.", ".")]))


def moves(rng: np.random.Generator, count: int, odd: float) -> list[str]:
    """Return lines and arcs that go on from each other, most of them right, with odd lines among them."""
    x = y = 0.0
    out = ["G90 G17 G94 F900"]
    while len(out) < count:
        if rng.random() < odd:
            out += [str(rng.choice(ODD)), *(("G90", "G94", "G17", "F500") if rng.random() < 0.7 else ())]
        elif rng.random() < 0.5:
            radius, angle, turn = rng.uniform(0.01, 50), *rng.uniform(0, math.tau, 2)
            i, j = round(-radius * math.cos(angle), 4), round(-radius * math.sin(angle), 4)
            off = rng.choice([0.0, 0.0, 1e-3, 1e-2]) * rng.normal()
            x, y = round(x + i + (radius + off) * math.cos(turn), 4), round(y + j + radius * math.sin(turn), 4)
            out.append(f"G{rng.integers(2, 4)} X{x} Y{y} I{i} J{j}{rng.choice(['', '', '', ' F700'])}")
        else:
            written = number(rng), number(rng)
            x, y = map(float, written)
            out.append(f"{rng.choice(['G1 ', 'G0 ', '', 'G01 ', 'G1'])}X{written[0]} Y{written[1]}")
    return out


@pytest.fixture
def followed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many moves were taken at once each time."""
    counts: list[int] = []
    follow = batch_moves.BatchMoves.follow

    def counted(self: batch_moves.BatchMoves, control: Control, index: int) -> int:
        counts.append(follow(self, control, index))
        return counts[-1]

    monkeypatch.setattr(batch_moves.BatchMoves, "follow", counted)
    return counts


@pytest.mark.parametrize("control", [NGC, COMPACT], ids=lambda c: c.name)
@pytest.mark.parametrize("seed", range(12))
def test_any_mix_of_moves_is_followed_as_it_is_read(
    control: Dialect, seed: int, followed: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(seed)
    monkeypatch.setattr(interpreter, "_CHUNK", 150)
    lines = moves(rng, 400, (0.0, 0.02, 0.1, 0.3)[seed % 4])
    assert_read_alike("\n".join(lines), control, monkeypatch, FLAT)
    assert sum(followed) > (600, 300, 60, 5)[seed % 4] and max(followed) > 1


@pytest.mark.parametrize(
    ("fault", "reason"),
    [
        ("G3 X0 Y0 I5 J1", "radius of the arc differ"),
        ("G3 X0 Y0 I0 J0", "no radius"),
        ("G2 X7 Y7", "needs its centre"),
        ("G1 X7 Y7 I2", "nothing on this line to use it"),
        ("G1 X7 Y7 F0", "without a feed"),
        ("G1 X7 X8", "X"),
        ("G1 X1234567890", "larger than any machine"),
        ("G1 X7 Y7" + " " * 250 + "F500", "longer than"),
    ],
)
def test_a_mistake_among_moves_taken_at_once_is_told_as_it_is_one_by_one(
    fault: str, reason: str, followed: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    circle = [(f"{9 * math.cos(k):.4f}", f"{9 * math.sin(k):.4f}") for k in range(80)]
    lines = ["F900", *(f"G1 X{x} Y{y}" for x, y in circle)]
    lines[40:41] = fault, "F900"
    text = "\n".join(lines)
    assert_read_alike(text, NGC, monkeypatch)
    assert sum(followed) >= 2 * 70
    trace, _ = traced(text, NGC, lines={})
    assert [(u.line, reason in u.reason) for u in trace.unread] == [(41, True)]


def test_radii_that_barely_agree_are_judged_as_in_a_single_line(monkeypatch: pytest.MonkeyPatch) -> None:
    edge = NGC.arc_radius_tolerance_mm
    lines = ["F900", "G1 X0 Y0"]
    for k in range(-12, 13):
        lines += ["G1 X0 Y0", f"G3 X{20 + edge + k * 1e-9:.8f} Y0 I10 J0" if k else f"G2 X{20 + edge} Y0 I10"]
    text = "\n".join(lines)
    assert_read_alike(text, NGC, monkeypatch)
    trace, _ = traced(text, NGC, lines={})
    assert 0 < len(trace.unread) < 25


def test_a_motion_word_that_was_refused_is_not_inherited(followed: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    text = "\n".join(["F900", *["G0 X1 Y2", "X3 Y4", "G1 X5 Y5 I1", "X7 Y7", "X9 Y7"] * 3])
    assert_read_alike(text, NGC, monkeypatch)
    assert sum(followed) > 0


def test_a_move_longer_than_the_control_reads_is_refused(followed: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    control = replace(NGC, line_limit=20)
    text = "\n".join(["F900", "G1 X0 Y0", *["G1 X5.00 Y1.0000", "G1 X000005.00 Y1.0000", "G1 X3 Y3"] * 3])
    assert_read_alike(text, control, monkeypatch)
    refused, _ = traced(text, control, lines={})
    assert [u.line for u in refused.unread] == [4, 7, 10] and sum(followed) > 0


def test_numbers_are_read_as_the_language_of_this_program_reads_them() -> None:
    rng = np.random.default_rng(5)
    written = [number(rng) for _ in range(3000)] + [
        "9999999.99999999",
        "-.00000001",
        "+5.",
        "0000000.1",
        "-0",
        "1234567",
    ]
    text = "".join(f"X{w}\n" for w in written).encode()
    characters = np.frombuffer(text, np.uint8)
    found = batch_moves._numbers(characters, np.flatnonzero(characters == ord("X")))
    assert found.tobytes() == np.array([float(w) for w in written]).tobytes()


def test_moves_behind_an_origin_that_moves_too_often_are_still_read(
    followed: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = [line for k in range(20) for line in (f"G92 X{k}", "G1 X1 Y2 F900", "G1 X3 Y4", "G1 X5 Y6")]
    assert_read_alike("\n".join(lines), NGC, monkeypatch)
    assert 0 < sum(followed) < 2 * 3 * (batch_moves.MOST_FRAMES + 1)
