"""What a program takes of the consumables: starts and arc time, and where it starts."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.gcode.timing import cut_times
from kerfproof.proof.proof import Proof
from kerfproof.shop.profile import Machine

_COMMENT = re.compile(r"\(([^()]*)\)")
LOOK_BACK = 80
"""A block's title stands at most so many lines before its on word."""


@dataclass(frozen=True, slots=True)
class Wear:
    """Starts, seconds with the torch on, and mm of cut of one program."""

    starts: int
    arc_s: float
    cut_length: float


@dataclass(frozen=True, slots=True)
class Pierce:
    """One place where a program lights the torch: its number from 1, program coordinates (mm), line, what it is."""

    number: int
    x: float
    y: float
    line: int
    label: str


def wear(proof: Proof, machine: Machine) -> Wear:
    """Return what the program takes, with times limited by acceleration."""
    seconds = cut_times(proof.trace, machine)
    arc = float(seconds[proof.trace.torch].sum())
    return Wear(len(proof.runs), round(arc, 3), round(sum(run.length for run in proof.runs), 3))


def pierces(proof: Proof, text: str) -> tuple[Pierce, ...]:
    """Return where the program lights the torch, in order, with what its comments say of each."""
    lines = lines_of(text)
    return tuple(
        Pierce(
            run.number + 1,
            round(run.start[0], 4),
            round(run.start[1], 4),
            run.light_line,
            _label(lines, run.light_line),
        )
        for run in proof.runs
    )


def _label(lines: list[str], line: int) -> str:
    """Return the nearest comment before a line that names a part, empty if there is none."""
    for text in reversed(lines[max(0, line - LOOK_BACK) : line]):
        for comment in _COMMENT.findall(text):
            if comment.startswith("part "):
                return str(comment.removeprefix("part "))
    return ""
