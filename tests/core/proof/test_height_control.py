"""Height control is let go only where the arc voltage tells the height."""

from __future__ import annotations

from dataclasses import replace

import pytest

from support.faulty.faults import Subject
from support.shop.shop import DIALECTS, built_in, cut, demo

ON, OFF = "M64 P1", "M65 P1"
RULES = ("height-control-too-early", "height-control-left-on")


def subject(on: str = ON, off: str = OFF, dialect: str = "ngc") -> Subject:
    machine = replace(built_in("pilot-ohmic-mm"), height_control_on=on, height_control_off=off, dialect=dialect)
    return Subject(cut(demo("gusset"), machine))


@pytest.fixture(scope="module")
def controlled() -> Subject:
    return subject()


def found(s: Subject, lines: list[str]) -> list[tuple[str, str]]:
    return [(f.rule, f.severity.value) for f in s.prove(s.text(lines)).findings if f.rule in RULES]


def first_move(lines: list[str], block: tuple[int, int]) -> int:
    light = lines.index("M3", block[0])
    return next(k for k in range(light, block[1]) if lines[k].startswith(("G1 X", "G1 Y", "G2 ", "G3 ")))


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("words", [(ON, OFF), ("M62 P1", "M63 P1"), ("M68 E1 Q1", "M68 E1 Q0"), ("M110", "M111")])
def test_our_own_programs_are_clean(dialect, words):
    s = subject(*words, dialect)
    assert words[0] in s.lines and found(s, s.lines) == []


def test_on_before_the_cut_moves_is_an_error(controlled):
    lines = controlled.lines
    at = first_move(lines, controlled.blocks()[-1])
    assert (RULES[0], "error") in found(controlled, [*lines[:at], ON, *lines[at:]])


def test_on_before_the_lock_time_is_a_warning(controlled):
    lines = controlled.lines
    on = lines.index(ON)
    at = first_move(lines, next(b for b in controlled.blocks() if b[0] <= on < b[1]))
    early = [*lines[: at + 1], ON, *lines[at + 1 : on], *lines[on + 1 :]]
    assert on > at + 1 and found(controlled, early) == [(RULES[0], "warning")]


def test_on_in_a_slowed_hole_and_across_its_own_kerf_is_a_warning(controlled):
    lines, block = controlled.lines, controlled.blocks()[1]
    at = first_move(lines, block)
    moves = [k for k in range(at, block[1]) if lines[k].startswith("G3 ")]
    for k in (moves[1], moves[-1]):
        off = lines.index("M5", k)
        told = found(controlled, [*lines[:k], ON, *lines[k:off], OFF, *lines[off:]])
        assert (RULES[0], "warning") in told and (RULES[0], "error") not in told


def test_on_in_a_move_up_without_an_arc_is_an_error(controlled):
    lines, block = controlled.lines, controlled.blocks()[1]
    up = next(k for k in range(lines.index("M5", lines.index("M3", block[0])), block[1]) if lines[k].startswith("G0 Z"))
    assert (RULES[1], "error") in found(controlled, [*lines[:up], ON, lines[up], OFF, *lines[up + 1 :]])


def test_a_word_that_waits_just_before_the_off_word_is_told(controlled):
    lines, block = controlled.lines, controlled.blocks()[1]
    off = lines.index("M5", lines.index("M3", block[0]))
    assert (RULES[1], "error") in found(controlled, [*lines[:off], "M62 P1", *lines[off:]])


@pytest.mark.parametrize("value", ["M68 E1 Q0.9", "M67 E1 Q0.5", "M68 E1 Q2"])
def test_a_value_that_is_neither_on_nor_off_is_told(value):
    s = subject("M68 E1 Q1", "M68 E1 Q0")
    lines = s.lines
    light = lines.index("M3")
    assert (RULES[0], "warning") in found(s, [*lines[:light], value, *lines[light:]])
