"""Examples that name a shared program come out whole, with what they change."""

from __future__ import annotations

import pytest

from kerfproof.proof.rule_page import whole_page
from support.programs.rule_pages import page_from

PAGE = """Something is wrong.

Finds: what is wrong.

Matters: it does harm.

Bad::

    {}

Good::

    {}

Do: mend it.
"""


def page(bad: str, good: str):
    return page_from("something", PAGE.format(bad.replace("\n", "\n    "), good.replace("\n", "\n    ")))


def test_a_page_that_names_no_program_stays_as_it_is():
    text = PAGE.format("Given: head\n    G0 X10", "G0 X20")
    assert whole_page(text) == text.strip()


def test_a_named_program_comes_with_its_headers_and_the_lines_that_are_changed_or_taken_out():
    made = page("Program: outline\nGiven: head\nG1 Y80.75 -> G1 Y80.55\nG1 X19.25 ->\nM2", "M2").bad
    assert made.header == {"Drawing": "rect 20 20 120 80", "Given": "head"}
    assert made.text == "G1 X19.25 F2200\nG1 Y80.55\nG1 X120.75\nG1 Y19.25\nG1 Y51\nM5\nM2\n"


def test_one_example_is_made_from_the_other():
    made = page("Given: burning\nG1 X30 F2200\nM2", "Program: bad\nM2 -> M5")
    assert (made.good.header, made.good.text) == ({"Given": "burning"}, "G1 X30 F2200\nM5\n")


def test_then_stands_for_the_way_to_the_next_cut():
    lines = page("G1 X30 F2200\nThen: burning at 70 50\nG1 X80 F2200", "M2").bad.text.splitlines()
    assert lines[1:5] == ["M5", "G4 P0.3", "G0 Z25", "G0 X70 Y50"]
    assert lines[-2:] == ["G1 Z1.5 F900", "G1 X80 F2200"] and "M3" in lines


@pytest.mark.parametrize("bad", ["Program: outline\nG1 X1 -> G1 X2", "Program: nothing", "Program: bad"])
def test_a_line_or_a_program_that_is_not_there_is_refused(bad: str):
    with pytest.raises((ValueError, KeyError)):
        page(bad, "M2")
