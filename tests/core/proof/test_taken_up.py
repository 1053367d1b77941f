"""A cut that stopped and is taken up again: the planned overlap is judged by exact distances alone."""

from __future__ import annotations

import pytest

from kerfproof.proof.rule import all_rules
from support.programs.examples import evidence_of
from support.programs.rule_pages import Example

STOPPED = "G1 X60 F2200\nM5\nG4 P0.3\nG0 Z25\n"
"""A cut from 10, 50 that stops at 60, 50."""
LIT = "G4 P0.2\nG92 Z0\nG38.2 Z-49 F150\nG4 P0.2\nG92 Z-19.05\nG4 P0.1\nG1 Z-1 F1000\nM3\nG4 P0.4\nG1 Z1.5 F900\n"


def told(
    rule: str, back: float, on: float, beside: float = 0.0, start: tuple[float, float] = (52.0, 56.0)
) -> list[str]:
    """Return how grave a rule finds a second cut that joins the first `back` mm before its end and goes `on` mm."""
    way = f"G1 X{60 - back:.3f} Y{50 + beside:.3f} F2200\nG1 X{60 - back + on:.3f}\nM5\n"
    text = STOPPED + f"G0 X{start[0]} Y{start[1]}\n" + LIT + way
    found = all_rules()[rule].findings(evidence_of(Example({"Given": "burning at 10 50"}, text)))
    return [str(f.severity) for f in found]


@pytest.mark.parametrize(("back", "on", "warned"), [(2.5, 4.0, False), (2.9, 3.0, False), (9.0, 12.0, True)])
def test_what_was_cut_before_counts_but_for_the_open_end_that_is_taken_up(back: float, on: float, warned: bool) -> None:
    assert told("same-contour-twice", back, on) == ["warning"] * warned


def test_the_open_end_is_excused_by_its_length_alone() -> None:
    # 9 mm back of a cut of 40 mm: 6 mm of it are beyond the open end, less than the share that is told.
    assert told("same-contour-twice", 9.0, 34.0) == []
    assert told("same-contour-twice", 9.0, 11.0) == ["warning"]


def test_going_on_along_the_open_end_is_a_note_and_beside_it_more() -> None:
    assert told("arc-crosses-gap", 2.0, 30.0, start=(58.5, 56.0)) == ["note"]
    assert told("arc-crosses-gap", 2.0, 30.0, 0.2, (58.5, 56.0)) == ["warning"], "the paths are not the same"
    assert told("arc-crosses-gap", 12.0, 40.0) == ["error"], "a pierce in the middle of the kerf is no open end"


def test_the_tip_that_rests_on_the_cut_it_takes_up_is_a_note_and_on_another_a_warning() -> None:
    assert told("tip-face-near-kerf", 2.5, 30.0, start=(57.5, 55.0)) == ["note"]
    assert told("tip-face-near-kerf", -8.0, 30.0, start=(57.5, 55.0)) == ["warning"]
    assert told("tip-face-near-kerf", 2.5, 30.0, start=(57.5, 57.5)) == []
