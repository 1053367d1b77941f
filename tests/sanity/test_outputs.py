"""Machines whose torch, height control or sense circuit hangs on numbered outputs, as their files are written."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import Mode
from kerfproof.shop.profile import Machine
from support.faulty.judging import respelled, said
from support.faulty.programs import OUTPUTS, sensing
from support.faulty.subject import Subject
from support.programs.spellings import SPELLINGS, NotPossible
from support.shop.shop import built_in, cut, demo

DIALECTS = ("ngc_blend", "compact", "skip_macro")
"""One that has outputs among its words, and two that have not."""
SPELLED = list(SPELLINGS)


@cache
def subject(name: str, dialect: str, mode: Mode = Mode.CUT) -> Subject:
    return Subject(cut(demo("pump-flange"), _machine(name, dialect), mode=mode))


def _machine(name: str, dialect: str) -> Machine:
    base = replace(built_in(), **OUTPUTS[name]) if name in OUTPUTS else sensing()
    return replace(base, dialect=dialect, inches=dialect == "skip_macro")


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("name", [*OUTPUTS, "sense circuit on an output"])
def test_a_right_program_is_written_and_proven_in_several_spellings(name: str, dialect: str) -> None:
    right = subject(name, dialect)
    proof = right.outcome.proof
    assert proof is not None
    assert [f.sentence() for f in said(proof)] == []
    turn = list(OUTPUTS).index(name) if name in OUTPUTS else 5
    for k in (turn, turn + 6, turn + 12, turn + 18):
        spelling = SPELLED[k % len(SPELLED)]
        try:
            again = respelled(right, right.text(right.lines), spelling)
        except NotPossible:
            assert "expressions" in spelling and not control_of(right.outcome.machine).expressions
            continue
        assert [f.sentence() for f in said(right.prove(again.text, again.machine))] == [], spelling


def lit_by(machine: Machine) -> Iterator[str]:
    """Yield lines that light the torch of a machine, as its file has them and in other spellings."""
    code, number = machine.torch_on.removeprefix("M").split(" P")
    yield from (f"M{code} P{number}", f"M{code} P{number}.", f"N10 M{code} P{number}", f"M0{code} P{number}")
    yield from (f"m{code}p{number}", f"P{number} M{code}", f"M{code} P{number}.0 (off)")
    yield f"M{code}.0 P0{number}"
    if control_of(machine).expressions:
        yield from (f"M{code} P[{number}]", f"M[{int(code) - 1}+1] P{number}", f"#1={number}\nM{code} P#1")


TORCHES = [name for name in OUTPUTS if "torch_on" in OUTPUTS[name]]


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("name", TORCHES)
def test_a_program_without_an_arc_lights_no_torch_however_it_is_said(name: str, dialect: str, mode: Mode) -> None:
    raised = subject(name, dialect, mode)
    text = raised.text(raised.lines)
    assert [f.sentence() for f in said(raised.prove(text, mode=mode))] == []
    lines = text.splitlines()
    moves = [k for k, line in enumerate(lines) if line.startswith(("G0 X", "G1 X"))]
    on = raised.outcome.machine.torch_on
    other = on.replace("M64", "M62")
    for line in (*lit_by(raised.outcome.machine), other):
        at = random.Random(line).choice(moves)
        proof = raised.prove("\n".join([*lines[:at], line, *lines[at:]]) + "\n", mode=mode)
        told = {f.rule for f in proof.findings if f.severity is Severity.ERROR}
        # A control that has no outputs among its words may take the code that the machine file has not as unknown.
        foreign = {"unreadable-text"} if line == other and not control_of(raised.outcome.machine).outputs else set()
        assert told & ({"dry-run-not-dry", "torch-left-on"} | foreign), f"{line!r} before line {at + 1}"


@pytest.mark.parametrize("dialect", DIALECTS)
def test_another_output_lights_nothing(dialect: str) -> None:
    raised = subject(TORCHES[0], dialect, Mode.DRY)
    lines = raised.text(raised.lines).splitlines()
    at = next(k for k, line in enumerate(lines) if line.startswith(("G0 X", "G1 X")))
    proof = raised.prove("\n".join([*lines[:at], "M64 P7", *lines[at:]]) + "\n", mode="dry")
    assert "dry-run-not-dry" not in {f.rule for f in proof.findings}
