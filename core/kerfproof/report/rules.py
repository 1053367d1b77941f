"""The pages of the rules, as they stand at the top of each rule's file."""

from __future__ import annotations

from dataclasses import dataclass
from inspect import cleandoc

from kerfproof.errors import Severity
from kerfproof.registry import load_folder

FOLDER = "kerfproof.verify.rules"


@dataclass(frozen=True, slots=True)
class RulePage:
    """One rule for people: `title` is the first line of its page, `page` the whole."""

    name: str
    severity: Severity
    title: str
    page: str


def rules() -> tuple[RulePage, ...]:
    """Return the pages of all rules on programs by name."""
    pages = load_folder(FOLDER, "__doc__")
    made = []
    for module, rule in load_folder(FOLDER, "RULE").items():
        page = cleandoc(pages[module] or "")
        made.append(RulePage(rule.name, rule.severity, page.splitlines()[0] if page else "", page))
    return tuple(sorted(made, key=lambda page: page.name))
