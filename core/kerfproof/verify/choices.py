"""How a shop weighs rules: severities changed and rules silenced, each with its reason, and still counted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from kerfproof.errors import Finding, RuleChoice, Severity

WEIGHED = "rule-weighed"


def weighed(findings: Sequence[Finding], choices: Iterable[RuleChoice], known: Iterable[str]) -> tuple[Finding, ...]:
    """Return findings as the shop weighs them, with one more for each choice that took effect.

    That one is a warning where errors were made less, so that no verdict is clean because a rule was silenced, and
    a note elsewhere. Of several choices for one rule the last counts. A choice for a rule that does not exist is a
    warning, too. `known` are the names of all rules.
    """
    chosen = {choice.rule: choice for choice in choices}
    if not chosen:
        return tuple(findings)
    out: list[Finding] = []
    hit: dict[str, list[Finding]] = {rule: [] for rule in chosen}
    for finding in findings:
        choice = chosen.get(finding.rule)
        if choice is None:
            out.append(finding)
            continue
        hit[finding.rule].append(finding)
        if choice.severity is not None:
            out.append(replace(finding, severity=choice.severity))
    names = set(known) | {finding.rule for finding in findings}
    return (*out, *(told for c in chosen.values() for told in _told(c, hit[c.rule], c.rule in names)))


def _told(choice: RuleChoice, found: list[Finding], exists: bool) -> list[Finding]:
    """Return what is said of one choice: nothing where its rule found nothing."""
    if not exists:
        message = f"the shop files weigh a rule {choice.rule} that does not exist"
        return [Finding(WEIGHED, Severity.WARNING, message, "kerfproof rules lists them")]
    changed = [f for f in found if f.severity is not choice.severity]
    if not changed:
        return []
    count = f"{len(changed)} finding{'s' if len(changed) > 1 else ''} of {choice.rule}"
    how = f"count as {choice.severity}" if choice.severity is not None else "not told"
    lowered = any(f.severity is Severity.ERROR for f in changed)
    message = f"{count} {how}, because: {choice.reason}"
    return [Finding(WEIGHED, Severity.WARNING if lowered else Severity.NOTE, message, line=changed[0].line)]
