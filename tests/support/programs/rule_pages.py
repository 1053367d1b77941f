"""The pages of rules and checks taken apart: their parts, and their examples with what each is judged against."""

from __future__ import annotations

import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass

from kerfproof.proof.rule import Rule
from kerfproof.proof.rule_page import Check, split_example, whole_page
from kerfproof.registry import load_folder

_PARTS = re.compile(r"^(Finds:|Matters:|Bad::|Good::|Do:)[ \t]*", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Example:
    """A piece of program with what it is judged against.

    `header` may name Machine, Control, Process, Drawing, Slit, Plate, Mode, and Given: what stands before the piece
    (``head``, ``touched at X Y`` or ``burning at X Y``).
    """

    header: Mapping[str, str]
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    """What a rule says of itself."""

    title: str
    finds: str
    matters: str
    bad: Example
    good: Example
    do: str


def page_of(rule: Rule) -> Page:
    """Return the page of a rule.

    Raises
    ------
    ValueError
        If its module's docstring lacks a part.
    """
    return page_from(rule.name, inspect.getmodule(rule.judge).__doc__ or "")


def all_checks() -> dict[str, Check]:
    """Return every kind of finding that is no rule, by name."""
    return {check.name: check for check in load_folder("kerfproof.proof.checks", "CHECK").values()}


def page_from(name: str, text: str) -> Page:
    """Return the page in a docstring.

    Raises
    ------
    ValueError
        If it lacks a part.
    """
    text = whole_page(text)
    pieces = _PARTS.split(text)
    parts = {name.rstrip(":"): body for name, body in zip(pieces[1::2], pieces[2::2], strict=True)}
    missing = [name for name in ("Finds", "Matters", "Bad", "Good", "Do") if not parts.get(name, "").strip()]
    if missing or not pieces[0].strip():
        raise ValueError(f"the page of {name} lacks {', '.join(missing) or 'a title'}")
    prose = {name: " ".join(parts[name].split()) for name in ("Finds", "Matters", "Do")}
    title = pieces[0].strip()
    return Page(title, prose["Finds"], prose["Matters"], _example(parts["Bad"]), _example(parts["Good"]), prose["Do"])


def _example(body: str) -> Example:
    """Return an example from an indented block that is written out: header lines first, then the program."""
    headers, lines = split_example(inspect.cleandoc(body))
    return Example(headers, "\n".join(lines) + "\n")
