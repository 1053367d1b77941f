"""The lines of a program, each different one kept once."""

from __future__ import annotations

import pytest

from kerfproof.verify.lines import Lines

TEXT = "g0 x1 (M5 here)\nM5\n\n  M5 ; again\nM5\r\nG1\tX2\n"


def test_every_line_is_given_back_as_it_stands_and_as_its_words():
    lines = Lines.of(TEXT)
    assert [lines[k] for k in range(len(lines))] == TEXT.splitlines()
    assert [lines.words_at(k) for k in range(len(lines))] == ["G0X1", "M5", "", "M5", "M5", "G1X2"]
    assert len(lines.different) == len(set(TEXT.splitlines()))


def test_lines_are_found_by_what_they_say_and_not_by_their_comments():
    assert Lines.of(TEXT).saying(lambda words: "M5" in words).tolist() == [1, 3, 4]
    assert Lines.of("").saying(lambda words: True).tolist() == []


@pytest.mark.parametrize("mark", ["\x0c", "\x0b", "\x1c", "\x85", "\u2028", "\u2029"])
def test_lines_end_where_a_control_ends_them_and_nowhere_else(mark):
    lines = Lines.of(f"G0 X1 (a{mark}b)\r\nG0 X2\rM2\n")
    assert len(lines) == 3 and lines.words_at(1) == "G0X2" and lines.words_at(2) == "M2"
