"""Lines taken apart."""

from __future__ import annotations

import pytest

from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.lexer import column, read_line, scan


def words(line: str) -> list[tuple[str, object]]:
    return [(word.letter, word.value) for word in read_line(scan(line, False).code).words]


def test_spaces_and_case_do_not_count_even_inside_numbers() -> None:
    # NISTIR 6556, 3.3: the printed pair of equal lines.
    assert words("g0x +0. 12 34y 7") == words("g0 x+0.1234 y7") == [("G", 0.0), ("X", 0.1234), ("Y", 7.0)]


def test_numbers_need_one_digit_and_at_most_one_point() -> None:
    assert words("X.5 Y-5. Z+0") == [("X", 0.5), ("Y", -5.0), ("Z", 0.0)]
    for bad in ("X.", "X-", "X1.2.3", "X--1", "XE5", "XNAN", "X"):
        with pytest.raises(Misread):
            words(bad)


def test_line_numbers_come_first_with_at_most_five_digits() -> None:
    assert words("N12345 G1 X1") == [("G", 1.0), ("X", 1.0)]
    assert words("/N1G1X1") == [("G", 1.0), ("X", 1.0)]
    for bad in ("N123456 G1", "N-1 G1", "N1.5", "N G1", "G1 N10 X1"):
        with pytest.raises(Misread):
            words(bad)


def test_comments_are_taken_out_and_kept() -> None:
    found = scan("G1 (first; one) X1 (MSG, second)", False)
    assert (found.code, found.comments, found.fault) == ("G1X1", ("first; one", "MSG, second"), None)


def test_comments_between_words_are_no_fault() -> None:
    for line in ("G1(a)X10(b)Y5", "G1 (a) X-3 (b) (c)", "(1) G1 X5", "/(a)G1 X1", "G1 X[1+2] (3)"):
        assert scan(line, False).fault is None, line


def test_semicolons_begin_a_comment_only_where_the_dialect_says_so() -> None:
    assert scan("G1 X1 ; to the (end", True) == type(scan("", True))("G1X1", ("to the (end",), None)
    fault = scan("G1 X1 ; to the end", False).fault
    assert fault is not None and fault.reason == "';' is not in the language" and fault.at == 4


@pytest.mark.parametrize(
    ("line", "reason", "place"),
    [
        ("G1 (open X1", "the comment is not closed", 4),
        ("G1 (a (b) X1", "a comment inside a comment", 4),
        ("G1 X1(a)0", "a comment inside a word", 6),
        ("G1 X (a) 10", "a comment inside a word", 6),
        ("G1 X1.(a) 5 (b)", "a comment inside a word", 7),
        ("G1 X(a)-5", "a comment inside a word", 5),
        ("G1 a) X1", "')' is not in the language", 5),
        ("G1 X1 $", "'$' is not in the language", 7),
        ("G1 X\u0661", "'\u0661' is not in the language", 5),
        ("G1\x00X1", "character 0 is not in the language", 3),
        ("G1 (\u00df \u00e9) X1 \u00df", "'\u00df' is not in the language", 13),
    ],
)
def test_faults_are_found_at_their_column(line: str, reason: str, place: int) -> None:
    fault = scan(line, False).fault
    assert fault is not None and fault.reason == reason
    assert isinstance(fault.at, int)
    assert (fault.column or column(line, fault.at, False)) == place


def test_every_character_outside_comments_has_its_own_column() -> None:
    line = "\tG 1(a b)X 2 (c) Y3"
    code = scan(line, False).code
    assert [line[column(line, k, False) - 1] for k in range(len(code))] == list(code)


def test_settings_and_words_may_be_mixed() -> None:
    line = read_line("#3=6G1X#3#4=[#3+1]")
    assert [(w.letter, w.at) for w in line.words] == [("G", 4), ("X", 6)]
    assert [s.at for s in line.settings] == [0, 9]


@pytest.mark.parametrize("code", ["#3", "#3=", "#3+1=2", "#<a>=1", "=3", "[1]", "G1]", "*", "5"])
def test_what_is_neither_word_nor_setting_is_refused(code: str) -> None:
    with pytest.raises(Misread):
        read_line(code)
