"""A program that is written with errors says so in its first lines, and its line numbers move along."""

from __future__ import annotations

from dataclasses import replace

from kerfproof.errors import Finding, Severity
from kerfproof.programs.error_banner import branded
from support.shop.shop import cut, demo


def test_the_errors_stand_at_the_top_and_all_line_numbers_move_along():
    outcome = cut(demo("gusset"))
    line = outcome.program.blocks[0].light
    error = Finding("no-kerf", Severity.ERROR, "this (cut; 3 mm) is wrong", line=line)
    warning = Finding("slow", Severity.WARNING, "slow")
    made = branded(replace(outcome, findings=(error, warning)))
    before, after = outcome.program.text.split("\n"), made.program.text.split("\n")
    start = int(before[0] == "%")
    head = after[start : start + 2]
    assert head == [
        "(NOT PROVEN - WRITTEN WITH 1 ERROR - DO NOT RUN UNSEEN)",
        "(ERROR no-kerf: this [cut, 3 mm] is wrong)",
    ]
    assert [*after[:start], *after[start + 2 :]] == before
    assert made.findings[0].line == line + 2 and after[line + 1] == before[line - 1]
    assert made.findings[1].line is None
    for old, new in zip(outcome.program.blocks, made.program.blocks, strict=True):
        assert (new.first, new.light, new.last) == (old.first + 2, old.light + 2, old.last + 2)


def test_an_outcome_without_a_program_stays_as_it_is():
    outcome = replace(cut(demo("gusset")), program=None)
    assert branded(outcome) is outcome
