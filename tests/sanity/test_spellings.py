"""Right programs spelled in every other way that the language has: read the same from outside, judged the same."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from kerfproof.gcode.machine_control import control_of
from support.faulty.judging import said
from support.faulty.subject import Subject
from support.programs.spellings import SPELLINGS, NotPossible
from support.referees.plain_reader import read_plainly, same_reading
from support.shop.shop import DIALECTS, cut, demo, starts

DRAWINGS = ("gusset", "pump-flange")


@cache
def subject(dialect: str, start: str, inches: bool) -> Subject:
    drawing = DRAWINGS[(DIALECTS.index(dialect) + inches) % 2]
    return Subject(cut(demo(drawing), replace(starts()[start], dialect=dialect, inches=inches)))


TOUCHING = [name for name in starts() if not name.endswith("none")]


def by_turns(spelling: str, dialect: str) -> Subject:
    """Return a right program: units and ways of finding the plate take turns."""
    at, turn = DIALECTS.index(dialect), list(SPELLINGS).index(spelling)
    if turn == 3 + at:
        return subject(dialect, "contact none", bool(at % 2))
    return subject(dialect, TOUCHING[(at + turn // 2 % 2) % len(TOUCHING)], bool(turn % 2))


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("spelling", SPELLINGS)
def test_a_right_program_is_right_in_every_spelling(spelling: str, dialect: str) -> None:
    right = by_turns(spelling, dialect)
    text, machine = right.text(right.lines), right.outcome.machine
    try:
        again = SPELLINGS[spelling](text, machine)
    except NotPossible:
        assert "expressions" in spelling and not control_of(machine).expressions
        return
    assert again.text != text, "it is another spelling"
    assert same_reading(read_plainly(text, machine), read_plainly(again.text, again.machine)) == ""
    assert [f.sentence() for f in said(right.prove(again.text, again.machine))] == []


def test_the_plain_reading_understands_every_line_of_ours() -> None:
    for dialect in DIALECTS:
        right = subject(dialect, "contact float", False)
        acts = read_plainly(right.text(right.lines), right.outcome.machine)
        assert len(acts) > 200
        assert [word for word, _ in acts if word.startswith("unread")] == []


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("G1 X0.5 F100", "g01x.50f+100.", True),
        ("G1 X0.5 F100", "N7 F[50+50] X[0+0.5] G[1]", True),
        ("G1 X0.5 F100", "G1 X0.6 F100", False),
        ("G1 X1 F9\nG91\nG1 X1", "G1 X1 F9\nX2", True),
        ("G1 X1 F9\nG91\nG1 X1", "G1 X1 F9\nX1", False),
        ("G1 X1 F9\nG2 X3 I1", "G1 X1 F9\nG3 X3 I1", False),
        ("G1 X1 F9\nG2 X2 Y-1 J-1", "G1 X1 F9\nG2 X2 Y-1 R1", True),
        ("G1 X1 F9\nG2 X2 Y-1 J-1", "G1 X1 F9\nG3 X2 Y-1 R1", False),
        ("G92 X0", "g092.x0.", True),
        ("G92 X0", "G92 Y0", False),
        ("M64 P0", "p0.m064", True),
        ("M64 P0", "M64 P1", False),
        ("G4 P0.5", "G4 P0.6", False),
        ("#1=2\nG0 X#1", "#1=3\nG0 X#1", False),
    ],
)
def test_the_plain_reading_tells_what_differs(one: str, other: str, alike: bool) -> None:
    machine = starts()["contact float"]
    assert (same_reading(read_plainly(one, machine), read_plainly(other, machine)) == "") is alike
