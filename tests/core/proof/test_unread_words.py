"""Words that are not known here: what they may do to the table forbids the program, what changes nothing does not."""

from __future__ import annotations

import pytest

from kerfproof.proof.rule import all_rules
from support.programs.examples import FIND, LIGHT, evidence_of
from support.programs.rule_pages import Example

RULE = all_rules()["unreadable-text"]
HEAD = "M5\nG17 G40 G49 G80\nG90 G94\nG21\nG54\nG61\nF6000\n"


def told(text: str, **header: str) -> list[tuple[str, int | None, int | None]]:
    """Return severity, line and column of what is said of a text behind the usual head."""
    found = RULE.findings(evidence_of(Example({"Control": "published", "Given": "none"} | header, HEAD + text)))
    return [(f.severity.value, f.line, f.column) for f in found]


GRAVE = [
    ("M98 P1000 L2", 1), ("M99", 1), ("M64 P0", 1), ("G0 X5 M101", 7), ("M3.1", 1), ("G65 P9000", 1), ("A3", 1),
    ("G0 X5 B90", 7), ("G1 X5 U3", 7), ("G1 X5 W-2", 7), ("X5 V1", 4), ("E5", 1), ("O100 call [1]", 1),
    ("N10 O100 if [1]", 5), ("o100 sub", 1), ("G1 X#7", 5), ("#7=3 G1 X#7", 10),
    ("G1 X1(on)0", 6), ("G1 X\u0661", 5), ("G1 X\uff11", 5), ("G1 X1_0", 6), ("G1 X1e2", 6),
]  # fmt: skip


@pytest.mark.parametrize(("line", "column"), GRAVE, ids=[line for line, _ in GRAVE])
def test_a_word_that_may_change_what_happens_is_an_error_at_its_column_and_reading_goes_on(line: str, column: int):
    assert told(f"G0 X1\n{line}\nG0 X9 Y[5\nM2\n") == [
        ("error", 9, column),
        ("error", 10, 9),
    ]


MILD = [
    ("words that only cancel", "G15\nG50\nG69\nG0 X1\nM2\n", ["warning"] * 3),
    ("a program's name at its top", "O1000 (bracket)\nG0 X1\nM2\n", ["warning"]),
    ("a name behind the first move, where another program may begin", "G0 X1\nO1001\nG0 X2\nM2\n", ["error"]),
    ("a tool length ahead of a touch-off", f"G43 H1\nG0 X10 Y50\n{FIND}{LIGHT}M5\nM2\n", ["warning"]),
    ("a tool length between touch-off and light-up", f"G0 X10 Y50\n{FIND}G43 H1\n{LIGHT}M5\nM2\n", ["error"]),
]


@pytest.mark.parametrize(("what", "text", "severities"), MILD, ids=[what for what, _, _ in MILD])
def test_what_changes_nothing_is_a_warning(what: str, text: str, severities: list[str]):
    assert [severity for severity, _, _ in told(text)] == severities


def test_words_of_the_machine_file_and_of_the_dialect_are_known():
    assert told("M101 ( air on )\nG0 X1\nm 102\nM2\n", Machine="contact-own-lines") == []
    assert told("M101 P2\nG0 X1\nM2\n", Machine="contact-own-lines") == [("error", 8, 1)]
    assert told("M64 P2\nG0 X1\nM65 P2\nM2\n", Control="blend") == []
    assert told("M64 P2\nG0 X1\nM65 P2\nM2\n", Machine="pilot-height") == []


@pytest.mark.parametrize(("line", "cure"), [("G43.5", "in G words of this control"), ("/ foo", "or take it out")])
def test_what_to_do_about_unknown_text_is_said(line: str, cure: str):
    example = Example({"Control": "published", "Given": "none"}, f"{HEAD}{line}\nM2\n")
    assert all(cure in f.advice for f in RULE.findings(evidence_of(example)))
    assert RULE.findings(evidence_of(example))


@pytest.mark.parametrize(
    ("control", "told"), [("small", True), ("offset", True), ("published", False), ("skip", False)]
)
@pytest.mark.parametrize("sign", ["!", "~"])
def test_a_sign_that_the_control_obeys_at_once_is_told_in_a_comment(control: str, told: bool, sign: str):
    text = f"{HEAD}(what a hole{sign})\nG0 X1\n(fine?)\nM2\n"
    found = all_rules()["text-not-plain"].findings(evidence_of(Example({"Control": control, "Given": "none"}, text)))
    assert [(f.severity.value, f.line) for f in found] == ([("warning", 8)] if told else [])


@pytest.mark.parametrize(
    ("control", "line", "severity"),
    [
        ("published", "/M0", "warning"), ("published", "/ m01", "warning"), ("small", "/M1 (look)", "warning"),
        ("skip", "/M0", "error"), ("published", "/M5", "error"), ("published", "/M0 G0 X5", "error"),
        ("published", "/M2", "error"), ("published", "/(a note)", None),
    ],
)  # fmt: skip
def test_a_stop_behind_a_slash_is_a_warning_where_nobody_must_look(control: str, line: str, severity: str | None):
    text = f"{HEAD}G0 X1\n{line}\nG0 X2\nM2\n"
    found = all_rules()["block-delete-matters"].findings(
        evidence_of(Example({"Control": control, "Given": "none"}, text))
    )
    assert [(f.severity.value, f.line) for f in found] == ([(severity, 9)] if severity else [])
