"""A program that has errors and is wanted all the same: its first lines say so."""

from __future__ import annotations

from dataclasses import replace

from kerfproof.errors import Finding, Severity
from kerfproof.outcome import Outcome
from kerfproof.sentence import said

WIDEST = 76


def branded(outcome: Outcome) -> Outcome:
    """Return the outcome with the errors named at the top of the program; all line numbers move along."""
    if outcome.program is None:
        return outcome
    head = warning_lines(outcome.findings, outcome.machine.inches)
    text = outcome.program.text
    # A leading percent line has to stay the first.
    first, rest = text.split("\n", 1) if text.startswith("%") else ("", text)
    after = 1 if first else 0
    new = "\n".join([*([first] if first else []), *head, rest])

    def line(number: int) -> int:
        return number + len(head) if number > after else number

    blocks = tuple(
        replace(b, first=line(b.first), light=line(b.light), last=line(b.last)) for b in outcome.program.blocks
    )
    findings = tuple(f if f.line is None else replace(f, line=line(f.line)) for f in outcome.findings)
    return replace(outcome, program=replace(outcome.program, text=new, blocks=blocks), findings=findings)


def warning_lines(findings: tuple[Finding, ...], inches: bool) -> list[str]:
    """Return the comments that warn of the errors."""
    errors = [f for f in findings if f.severity is Severity.ERROR]
    count = f"{len(errors)} ERROR{'S' if len(errors) != 1 else ''}"
    lines = [f"NOT PROVEN - WRITTEN WITH {count} - DO NOT RUN UNSEEN"]
    lines += [f"ERROR {f.rule}: {said(f.problem, inches)}" for f in errors[:8]]
    return [f"({plain(line)})" for line in lines]


def plain(text: str) -> str:
    """Return text that a comment can hold: one line of ASCII without parentheses and semicolons."""
    text = text.replace("(", "[").replace(")", "]").replace(";", ",")
    return " ".join(text.encode("ascii", "replace").decode("ascii").split())[:WIDEST]
