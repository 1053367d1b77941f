"""Holes and outlines of any shape are gone on with all along their cut."""

from __future__ import annotations

import pytest

from kerfproof.errors import Severity
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from support.programs.going_on import DRAWINGS, SHAPES, SLOT, Try, first_of, setup_of, wrongs


def goes_on(name: str, cut: int, share: float) -> None:
    """Go on with a cut (from 0) of a program after a share of it, and judge what comes of it by shapely."""
    outcome = first_of(name, "ngc", False)
    at = share * outcome.plan.cuts[cut].length()
    wish = Wish(from_cut=cut + 1, at=at)
    made = resume(outcome.program.text, outcome.proof.trace, wish, setup_of(outcome))
    assert made.ok, [f.message for f in made.findings if f.severity is Severity.ERROR]
    assert wrongs(Try((name, "ngc", False), cut, at, (), wish), made.program.text) == []


@pytest.mark.parametrize("share", [0.2, 0.45, 0.7, 0.85])
@pytest.mark.parametrize("shape", [*SHAPES, SLOT])
def test_a_hole_of_any_shape_is_gone_on_with(shape, share):
    name = f"{shape} in a plate"
    assert first_of(name, "ngc", False).plan.cuts[0].kind == "hole"
    goes_on(name, 0, share)


@pytest.mark.parametrize("share", [0.25, 0.6, 0.9])
@pytest.mark.parametrize("cut", [0, 1, 2])
def test_an_outline_of_any_shape_is_gone_on_with(cut, share):
    """One of them is a letter with inside corners, which leave a little more metal than is drawn."""
    assert first_of("loose shapes", "ngc", False).plan.cuts[cut].kind == "outline"
    goes_on("loose shapes", cut, share)


def test_all_drawings_of_the_random_tries_are_planned():
    for name in DRAWINGS:
        assert first_of(name, "ngc", False).plan is not None
