"""Words of one line: groups, counts, owners, order."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.gcode.reader.arrange import Arranged, Plain, arrange, plain_number
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.lexer import read_line, scan
from kerfproof.gcode.reader.modes import G_GROUPS, M_GROUPS, MOTION, NOT_MODAL, Language, g_word
from support.programs.reading import PUBLISHED

LANGUAGE = Language.of(PUBLISHED)


def sort_line(line: str, language: Language = LANGUAGE) -> Arranged:
    words = [Plain(w.letter, float(str(w.value)), w.at) for w in read_line(scan(line, False).code).words]
    return arrange(words, language)


def parts(line: str) -> list[str]:
    return [act.part for act in sort_line(line).acts]


def test_a_line_acts_in_the_printed_order_whatever_its_order_of_words() -> None:
    # NISTIR 6556, table 8.
    ordered = [
        "feed_mode", "feed", "speed", "tool", "tool change", "torch", "coolant", "plane", "units", "compensation",
        "length", "system", "path", "distance", "retract", "motion",
    ]  # fmt: skip
    line = "X1 G1 G98 G90 G61 G54 G49 G40 G21 G17 M8 M3 M6 T1 S1 F9 G94"
    assert parts(line) == ordered
    assert parts(" ".join(reversed(line.split()))) == ordered
    assert parts("M2 G1 X1 M48") == ["override", "motion", "stop"]
    assert parts("X1 G4 P1 M5 G1") == ["torch", "dwell", "motion"]


# One pair of each modal group of NISTIR 6556, table 4; two words of one group on a line are an error (3.3.5).
CONFLICTS = [
    "G0 G1 X1", "G2 G80 X1", "G17 G18", "G90 G91", "G93 G94", "G20 G21", "G40 G41", "G43 H1 G49", "G98 G99",
    "G54 G59.3", "G61 G64", "G61 G61.1", "G4 P1 G53", "G92 X1 G4 P1", "M0 M2", "M3 M5", "M7 M9", "M48 M49",
]  # fmt: skip


@pytest.mark.parametrize("line", CONFLICTS)
def test_two_words_of_one_modal_group_are_refused(line: str) -> None:
    with pytest.raises(Misread, match="same modal group"):
        sort_line(line)


def test_the_groups_are_those_of_the_printed_table() -> None:
    # NISTIR 6556, table 4, written out by hand.
    table = {
        "motion": "G0 G1 G2 G3 G80 G81 G82 G83 G84 G85 G86 G87 G88 G89",
        "plane": "G17 G18 G19",
        "distance": "G90 G91",
        "feed_mode": "G93 G94",
        "units": "G20 G21",
        "compensation": "G40 G41 G42",
        "length": "G43 G49",
        "retract": "G98 G99",
        "system": "G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3",
        "path": "G61 G61.1 G64",
        NOT_MODAL: "G4 G10 G28 G30 G92 G92.1 G92.2 G92.3",
    }
    assert {g_word(code): group for code, group in G_GROUPS.items()} == {
        word: group for group, words in table.items() for word in words.split()
    }
    assert LANGUAGE.g_groups[382] == MOTION and LANGUAGE.g_groups[530] == NOT_MODAL
    assert {code for code, group in M_GROUPS.items() if group == "stop"} == {0, 1, 2, 30, 60}


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("M3 M8 M48 M6 M0", "more than 4 M words"),
        ("G1 X1 X2", "two X words"),
        ("G1 X1 F1 F2", "two F words"),
        ("G1", "needs at least one axis word"),
        ("G2 I1", "needs at least one axis word"),
        ("G80 X1", "without a motion word"),
        ("G92", "at least one axis word"),
        ("G92 X1 G1", "both want the axis words"),
        ("G10 L2 P1 X1 G0", "both want the axis words"),
        ("G28 G0 X1", "both want the axis words"),
        ("G10 L3 P1 X1", "needs L2"),
        ("G10 L2 X1", "needs P1"),
        ("G10 L2 P0 X1", "needs P1"),
        ("G10 L2 P10 X1", "needs P1"),
        ("G4", "needs P"),
        ("G4 P-1", "must not be negative"),
        ("F-1", "must not be negative"),
        ("S-1", "must not be negative"),
        ("T1.5", "whole number"),
        ("T-1", "whole number"),
        ("G43", "needs H"),
        ("P5", "nothing on this line to use it"),
        ("G1 X1 I1", "nothing on this line to use it"),
        ("G1 X1 R1", "nothing on this line to use it"),
        ("M3 P1", "nothing on this line to use it"),
        ("G64 P0.1", "nothing on this line to use it"),
        ("G49 H1", "nothing on this line to use it"),
        ("G5 X1", "G word that is not known"),
        ("G31 Z-5", "G word that is not known"),
    ],
)
def test_a_line_that_contradicts_itself_is_refused(line: str, reason: str) -> None:
    with pytest.raises(Misread, match=reason):
        sort_line(line)


def test_legal_lines_are_not_refused() -> None:
    # 3.5.15: G80 beside G92 is legal; 3.3.2.1: a code within 0.0001 of a whole number; four M words are allowed.
    for line in ("G80 G92 X1", "G1.00001 X1", "M3 M8 M48 M6", "G59.1", "G41 D1", "G10 L20 P0 Z1", "G4 P0"):
        assert not sort_line(line).notes


def test_letters_of_an_inherited_motion_word_are_left_to_it() -> None:
    assert sort_line("X1 I1 J1").loose == {"I", "J"}
    assert sort_line("X1 R5 L2").loose == {"R", "L"}


def test_unknown_words_are_noted_and_the_rest_is_done() -> None:
    line = sort_line("M62 P1 E5 M3")
    assert [note.reason for note in line.notes] == [
        "the word M62 is not known here",
        "the letter E is not in the language",
    ]
    assert [(act.part, act.word) for act in line.acts] == [("torch", "M3"), ("unknown", "M62 E5")]


def test_a_dialect_brings_its_own_words() -> None:
    dialect = replace(
        PUBLISHED,
        probe_word="G31",
        path_blend_word="G64 P{tolerance}",
        arc_center_word="G91.1",
        machine_frame_word="",
    )
    language = Language.of(dialect)
    assert sort_line("G31 Z-5", language).acts[-1].part == "motion"
    assert sort_line("G64 P0.05", language).acts[0].word == "G64 P0.05"
    assert sort_line("G91.1", language).acts[0].part == "arc_center"
    for line in ("G38.2 Z-5", "G53 G0 Z0"):
        with pytest.raises(Misread, match="not known"):
            sort_line(line, language)


def test_numbers_are_shown_as_people_write_them() -> None:
    assert [plain_number(v) for v in (1.0, -0.5, 0.0, -0.0, -1e-9, 100.0, 19.05)] == [
        "1", "-0.5", "0", "0", "0", "100", "19.05",
    ]  # fmt: skip
