"""Every single line of a small program taken out in turn: what then happens otherwise at the table is found."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.trace import Step
from kerfproof.proof.table import scenario
from kerfproof.proof.table.play import play
from support.faulty.faults import Subject, respelled, said
from support.faulty.programs import program
from support.programs.spellings import SPELLINGS, NotPossible
from support.shop.shop import cut, dxf, starts

HARMLESS = {
    r"M5": "the torch is off at the top, at each block and at the end: each of them alone is enough",
    r"G4 P0\.[0-2]\d*": "a wait after a move that the control ends anyway, or a last hundredth of piercing",
    r"G(0|53 G0) Z\S+": "raised twice at the end",
    r"G92\.1": "the end word clears the shift by itself (NISTIR 6556, 3.6.1)",
    r"G38\.2 Z\[#101-1\.5\] F120": "a fixed head that goes back to the trip needs no slow second touch",
    r"G1 X\S+ Y\S+": "a vertex in the middle of a straight",
}
"""Lines without which the cut is the same, and why; all others must be found out."""


def drawn(space: Any) -> None:
    space.add_lwpolyline([(0, 0), (60, 0), (60, 30, 0.3), (0, 30)], format="xyb", close=True)
    space.add_circle((20, 15), 6)


def table_of(subject: Subject, text: str, by: float) -> tuple[Any, ...]:
    """Return what a table sees of a program: moves, feeds, waits, outputs, and how it ends. `by`: a stale Z frame."""
    machine, control = subject.outcome.machine, control_of(subject.outcome.machine)
    table = scenario.stale(machine, 0.0, by, 0) if by else scenario.nominal(machine, control.control_back_off)
    trace = play(text, control, machine, table, process=subject.outcome.process).trace
    rows = []
    for k in np.flatnonzero(trace.kind != Step.DATUM).tolist():
        kind = Step(int(trace.kind[k]))
        moves = kind in (Step.FEED, Step.ARC, Step.PROBE)
        word = trace.text[k] if kind is Step.OUTPUT else ""
        numbers = (*trace.end[k].round(2), trace.feed[k].round() if moves else 0.0, trace.sweep[k].round(2))
        rows.append((kind, word, bool(trace.torch[k]), trace.value[k].round(2) if kind is Step.DWELL else 0.0, numbers))
    return tuple(rows), trace.modes["end"], trace.modes["path"], trace.modes["datum"], trace.stopped is None


@pytest.mark.parametrize(
    ("start", "dialect", "inches"),
    [("contact float", "ngc", False), ("pilot ohmic", "ngc", False), ("contact float", "skip", True)],
)
def test_a_line_taken_out_is_found_where_it_matters(start: str, dialect: str, inches: bool) -> None:
    subject = Subject(cut(dxf(drawn), replace(starts()[start], dialect=dialect, inches=inches)))
    lines = subject.lines
    frames = (0.0, 120.0, -120.0)
    usual = [table_of(subject, "\n".join(lines) + "\n", by) for by in frames]
    matter, missed = 0, []
    for k, line in enumerate(lines):
        if line.startswith("("):
            continue
        text = "\n".join([*lines[:k], *lines[k + 1 :]]) + "\n"
        if all(table_of(subject, text, by) == want for by, want in zip(frames, usual, strict=True)):
            continue
        found = [f for f in subject.prove(text).findings if f.severity is not Severity.NOTE]
        matter += 1
        if not found and not any(re.fullmatch(pattern, line) for pattern in HARMLESS):
            missed.append((k + 1, line))
    assert missed == []
    assert matter > 40, "most lines matter"


@pytest.mark.parametrize("name", ["two copies", "flange, inches, plain skip move"])
def test_a_line_taken_out_of_any_block_of_a_long_program_is_found_in_any_spelling(name: str) -> None:
    subject = program(name)
    lines, blocks = subject.lines, subject.blocks()
    low, high = random.Random(name).choice(blocks[1:-1])
    usual = table_of(subject, subject.text(lines), 120.0), table_of(subject, subject.text(lines), 0.0)
    matter, missed, turn = 0, [], 0
    for k in range(low, high):
        text = subject.text([*lines[:k], *lines[k + 1 :]])
        if lines[k].startswith("(") or (table_of(subject, text, 120.0), table_of(subject, text, 0.0)) == usual:
            continue
        spelling = list(SPELLINGS)[turn % len(SPELLINGS)]
        turn += 1
        try:
            again = respelled(subject, text, spelling)
        except NotPossible:
            again = respelled(subject, text, "")
        matter += 1
        harmless = any(re.fullmatch(pattern, lines[k]) for pattern in HARMLESS)
        if not harmless and not said(subject.prove(again.text, again.machine)):
            missed.append((k + 1, lines[k], spelling))
    assert missed == []
    assert matter > 15, "most lines matter"
