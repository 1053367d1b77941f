"""The lines of a program, each different one kept once."""

from __future__ import annotations

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


def test_plain_moves_in_the_plane_are_told_from_all_else():
    plain = ["G0 X1 Y2", "g01x-1.5", "N7 G3 X1 Y2 I.5 J-2. F300", "Y2", "X1 Y1 (here)", "G2 X1 R5"]
    other = ["G53 G0 X1 Y2", "G38.2 X1 Z-20", "G0 X#5221", "G91", "G1 X1 Z2", "G1 X[1+2]", "G10 X1", "G20 X1", "M3", "",
             "G92 X0", "F200", "(X1)"]  # fmt: skip
    lines = Lines.of("\n".join([*plain, *other]))
    assert lines.plain[lines.which].tolist() == [True] * len(plain) + [False] * len(other)
    assert len(Lines.of("").plain) == len(Lines.of("").words)
