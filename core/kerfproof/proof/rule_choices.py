"""How rules are weighed otherwise: by the shop's machine, and by a job, whose choices a program's heading repeats.

The machine file stands in the shop, so it may make anything less, and what it does is counted. A job's choice comes
to the proof in a heading that anybody can write: it may make more of a finding, never less of an error, and what it
makes less of a warning stays a warning.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from kerfproof.errors import Finding, RuleChoice, Severity
from kerfproof.sentence import option, say, unended

WEIGHED = "rule-weighed"
LEAVES_OUT = frozenset(
    {
        "branch-point", "corner-not-reached", "feature-lost", "feature-not-cut", "kerf-not-found", "neck-closes",
        "no-room-for-lead", "open-chain",
    }
)  # fmt: skip
"""What says that something of the drawing is not cut: a person may want the rest of it all the same."""


def left_out(findings: Iterable[Finding], leave_out: bool) -> tuple[Finding, ...]:
    """Return findings, those on what is not cut as warnings if the person leaves it out, else with that way on."""
    out = []
    for finding in findings:
        if finding.rule in LEAVES_OUT and finding.severity is Severity.ERROR:
            if leave_out:
                finding = replace(finding, severity=Severity.WARNING)
            else:
                remedy = say(
                    "{remedy}; {option} cuts the rest", remedy=unended(finding.remedy), option=option("leave-out")
                )
                finding = replace(finding, remedy=remedy)
        out.append(finding)
    return tuple(out)


def weighed(
    findings: Sequence[Finding], choices: Iterable[RuleChoice], known: Iterable[str], *, shop: bool = True
) -> tuple[Finding, ...]:
    """Return findings as they are weighed, with one more for each choice that took effect.

    That one is a warning where errors were made less, so that no verdict is clean because a rule was silenced, and
    a note elsewhere. Of several choices for one rule the last counts. A choice for a rule that does not exist is a
    warning, too. `known` are the names of all rules; `shop` tells whether the choices are the machine file's.
    """
    chosen = {choice.rule: choice for choice in choices}
    if not chosen:
        return tuple(findings)
    out: list[Finding] = []
    hit: dict[str, list[Finding]] = {rule: [] for rule in chosen}
    for finding in findings:
        choice = chosen.get(finding.rule)
        if choice is None or finding.rule == WEIGHED:
            out.append(finding)
            continue
        hit[finding.rule].append(finding)
        if not shop and finding.severity is Severity.ERROR:
            out.append(finding)
        elif choice.severity is not None:
            out.append(replace(finding, severity=choice.severity))
    names = set(known) | {finding.rule for finding in findings}
    return (*out, *(told for c in chosen.values() for told in _told(c, hit[c.rule], c.rule in names, shop)))


def _told(choice: RuleChoice, found: list[Finding], exists: bool, shop: bool) -> list[Finding]:
    """Return what is said of one choice: nothing where its rule found nothing."""
    if not exists:
        message = f"the shop files weigh a rule {choice.rule} that does not exist"
        return [Finding(WEIGHED, Severity.WARNING, message, "kerfproof rules lists them")]
    changed = [f for f in found if f.severity is not choice.severity]
    out = []
    kept = [f for f in changed if not shop and f.severity is Severity.ERROR]
    if kept:
        message = f"{_count(kept)} of {choice.rule} stay errors: only the machine file may make less of an error"
        advice = "put it into [rules] of the machine file if it holds for this machine"
        out.append(Finding(WEIGHED, Severity.NOTE, message, advice, line=kept[0].line))
        changed = [f for f in changed if f.severity is not Severity.ERROR]
    if changed:
        how = f"count as {choice.severity}" if choice.severity is not None else "not told"
        heavy = (Severity.ERROR,) if shop else (Severity.ERROR, Severity.WARNING)
        lowered = any(f.severity in heavy for f in changed) and choice.severity is not Severity.ERROR
        message = f"{_count(changed)} of {choice.rule} {how}, because: {choice.reason}"
        severity = Severity.WARNING if lowered else Severity.NOTE
        out.append(Finding(WEIGHED, severity, message, line=changed[0].line))
    return out


def _count(found: Sequence[Finding]) -> str:
    return f"{len(found)} finding{'s' if len(found) > 1 else ''}"
