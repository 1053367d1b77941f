"""The lines of a program, each different one kept once."""

from __future__ import annotations

import pytest

from kerfproof.proof.evidence.lines import Lines, words_of

TEXT = "g0 x1 (M5 here)\nM5\n\n  M5 ; again\nM5\r\nG1\tX2\n"


def test_every_line_is_given_back_as_it_stands_and_as_its_words():
    lines = Lines.of(TEXT, semicolons=True)
    assert [lines[k] for k in range(len(lines))] == TEXT.splitlines()
    assert [lines.words_at(k) for k in range(len(lines))] == ["G0X1", "M5", "", "M5", "M5", "G1X2"]
    assert len(lines.different) == len(set(TEXT.splitlines()))


def test_only_the_three_kinds_of_line_end_part_lines():
    text = "(a\fb)\n(c\x85d) M5\n(e\u2028f)\rM2\r\n"
    assert len(Lines.of(text)) == 4
    assert [Lines.of(text).words_at(k) for k in range(4)] == ["", "M5", "", "M2"]


SPELLINGS = {
    "M64P0": ("M64 P0", "N10 M64 P0.", "m064 p0", "M64 P[0]", "n00020M64P[[0]]", "M64 P+0 (torch)", "P0 M64"),
    "G92Z0": ("G92 Z0", "g092z0.", "G92.0 Z-0", "N5 Z0.000 G92"),
    "F600G1Z[#101+3]": ("G1 Z[#101+3] F600", "F600. G01 Z[#101+3.0]", "N1 g1 z[#101+[3]] f0600"),
    "#102=SQRT[0.3-ABS[#5063-#101]]": ("#102=SQRT[.3-ABS[#5063-#101]]", "N9 #102 = sqrt[0.30 - abs[#5063 - #101]]"),
    "IF[#101GT-2]THEN#3000=1": ("IF [#101 GT -2] THEN #3000=1", "N30 if [#101 gt -2.0] then #3000 = 1."),
}


@pytest.mark.parametrize("words", SPELLINGS)
def test_all_spellings_of_a_line_share_one(words: str):
    assert {words_of(line) for line in SPELLINGS[words]} == {words}


def test_lines_that_do_something_else_are_spelled_otherwise():
    lines = (
        "G1 X1",
        "G1 X-1",
        "G1 X[0-1]",
        "/G1 X1",
        "G1 X#1",
        "G1 X[#1-1]",
        "G1 X[#1+1]",
        "#1=1",
        "#1=2",
        "M6",
        "M60",
    )
    assert len({words_of(line) for line in lines}) == len(lines)


@pytest.mark.parametrize(
    ("line", "plain"),
    [
        ("G0 X1 Y2", True), ("N10 G01 X1.5 F100", True), ("g3 x1 y2 i.3 j-4", True), ("X1", True), ("G00X1(c)Y2", True),
        ("G2 X1 R5", True), ("G53 G0 X1", False), ("G91 G0 X1", False), ("G38.2 X1 Z-2", False), ("G0 X#5221", False),
        ("G1 Z2", False), ("G20", False), ("G4 P1", False), ("G92 X0 Y0", False), ("G28 X0", False), ("M5", False),
        ("G10 L2 P1 X0", False), ("F1200", False), ("G1", False), ("N5", False), ("G1 X[1]", False),
        ("/G1 X1", False), ("X1 N5", False), ("", False), ("(X1)", False),
    ],
)  # fmt: skip
def test_plain_moves_in_the_plane_are_told_from_all_other_lines(line: str, plain: bool):
    lines = Lines.of(f"M3\n{line}\nG1 X5\n")
    assert lines.plain[lines.which].tolist() == [False, plain, True]


def test_a_text_without_lines_has_none():
    assert len(Lines.of("")) == 0 and not len(Lines.of("").plain)
