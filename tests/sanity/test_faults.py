"""Faults planted in correct programs, one at a time: every kind is caught, and correct programs are left alone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from faults import FAULTS, Subject, Verdict, judged
from kerfproof.errors import Severity
from shop import DEMOS, DIALECTS, built_in, cut, demo, starts

PROGRAMS = {"gusset in millimetres, published language": ("gusset", "ngc", False),
            "flange in inches, plain skip move": ("pump-flange", "skip", True)}  # fmt: skip

NOT_THERE = {
    "gusset in millimetres, published language": {"arc centre mode changed"},
    "flange in inches, plain skip move": {
        "arc centre mode changed",  # the dialect has no such word
        "stored work offset written",  # nor parameters
        "guard dropped",  # and no guard
        "return to the trip dropped",  # nor can it read the trip
        "datum from the fast touch",
        "mirrored",  # the drawing is its own mirror image
    },
}
"""What a program does not hold can't be planted in it."""


@cache
def subject(name: str) -> Subject:
    drawing, dialect, inches = PROGRAMS[name]
    return Subject(cut(demo(drawing), replace(built_in(), dialect=dialect, inches=inches)))


@cache
def verdict_on(kind: str, program: str) -> Verdict | None:
    return judged(subject(program), FAULTS[kind])


def test_there_are_at_least_forty_kinds_of_faults():
    assert len(FAULTS) >= 90


@pytest.mark.parametrize("program", PROGRAMS)
@pytest.mark.parametrize("kind", FAULTS)
def test_a_planted_fault_is_caught(kind: str, program: str):
    verdict = verdict_on(kind, program)
    if verdict is None:
        assert kind in NOT_THERE[program]
        return
    assert kind not in NOT_THERE[program]
    assert verdict.new, "nothing new is said of it"
    assert all(f.line is not None or f.x is not None for f in verdict.new[:1]), "it has no place"


LOUD = {
    "torch off dropped", "torch on before the touch-off", "touch-off dropped", "float sign flipped", "float forgotten",
    "start height wrong", "cut height ten times", "raise lost", "unit word changed", "plane word changed",
    "G91 left on", "feed lost", "one feature removed", "hole cut after its outline", "hole moved by 0.2 mm",
    "kerf to the wrong side", "scaled by 25.4", "arc direction exchanged", "I and J exchanged",
    "lead mirrored onto the part",
}  # fmt: skip
"""What ruins the part or the torch must forbid the program, not merely warn."""


@pytest.mark.parametrize("kind", sorted(LOUD))
def test_a_fault_that_ruins_the_part_is_an_error(kind: str):
    verdict = verdict_on(kind, "gusset in millimetres, published language")
    assert verdict is not None and verdict.word == "error"


@pytest.mark.parametrize("start", starts())
@pytest.mark.parametrize("name", DEMOS)
def test_correct_programs_get_neither_error_nor_warning(name: str, start: str):
    shift = DEMOS.index(name) + list(starts()).index(start)
    for k, dialect in enumerate(DIALECTS):  # in both units for every dialect and start, by one drawing or another
        proof = cut(demo(name), replace(starts()[start], dialect=dialect, inches=bool((k + shift) % 2))).proof
        assert proof is not None
        assert [f.sentence() for f in proof.findings if f.severity is not Severity.NOTE] == []
