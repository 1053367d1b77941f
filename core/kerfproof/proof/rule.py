"""A rule: what it looks for, how much it weighs, and the folder of all rules."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from kerfproof.errors import Finding, Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.registry import load_folder
from kerfproof.sentence import Phrase, counted, say

MOST_FINDINGS = 25
"""So many findings of one rule are listed one by one; the rest is counted in the last."""


@dataclass(frozen=True, slots=True)
class Hit:
    """One place where a rule is broken: what is wrong, what to do, program line (from 1) and place on the plate (mm).

    `severity` is given only where it differs from the rule's.
    """

    message: Phrase
    advice: Phrase = ""
    line: int | None = None
    at: tuple[float, float] | None = None
    severity: Severity | None = None
    column: int | None = None
    """Where in the line, from 1; None: at the word that the rule is about."""


def at_row(evidence: Evidence, row: int, message: Phrase, advice: Phrase = "", severity: Severity | None = None) -> Hit:
    """Return a hit at the line and the end of a trace row."""
    return Hit(message, advice, evidence.line(row), evidence.at(row), severity)


Judge = Callable[[Evidence], Iterable[Hit]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule on programs. Its page (finds, matters, bad, good, do) is the docstring of its module."""

    name: str
    severity: Severity
    judge: Judge
    by_drawing: bool = False
    """Whether it looks at the drawing: then each sheet is judged by the parts that are cut on it."""

    def findings(self, evidence: Evidence, untold: int = 0, by_sheet: Sequence[Evidence] = ()) -> tuple[Finding, ...]:
        """Return what the rule finds, the gravest first where there are too many to list.

        Of the first `untold` lines nothing is told. `by_sheet` is the evidence of each sheet against what is cut on it.
        """
        asked = by_sheet if self.by_drawing and by_sheet else (evidence,)
        hits = (hit for one in asked for hit in self.judge(one) if hit.line is None or hit.line > untold)
        return as_findings(self.name, self.severity, hits)


def as_findings(name: str, severity: Severity, hits: Iterable[Hit]) -> tuple[Finding, ...]:
    """Return hits as findings of one rule, at most `MOST_FINDINGS`; the last says how many more there are."""
    order = list(Severity)
    every = sorted(hits, key=lambda hit: order.index(hit.severity or severity))
    kept = every[:MOST_FINDINGS]
    out = []
    for number, hit in enumerate(kept):
        message = hit.message
        if number == MOST_FINDINGS - 1 and len(every) > MOST_FINDINGS:
            message = say("{what} (and {more})", what=message, more=counted(len(every) - MOST_FINDINGS, "more place"))
        x, y = hit.at if hit.at is not None else (None, None)
        out.append(Finding(name, hit.severity or severity, message, hit.advice, hit.line, x, y, column=hit.column))
    return tuple(out)


def all_rules() -> dict[str, Rule]:
    """Return every rule by name."""
    return {rule.name: rule for rule in load_folder("kerfproof.proof.rules", "RULE").values()}
