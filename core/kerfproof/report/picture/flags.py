"""Which findings a picture shows: the worst first, alike ones under one flag, the rest counted."""

from __future__ import annotations

import string
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from kerfproof.errors import Finding, Severity
from kerfproof.sentence import said

Point = tuple[float, float]
Places = Callable[[Finding], tuple[Point, ...]]
"""Where a finding lies: once for each copy of what it is about."""
WORST_FIRST = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
MOST_FLAGS = 8
"""More would bury the part; so many findings are told one by one, of more the alike ones share a flag."""


@dataclass(frozen=True, slots=True)
class Callout:
    """A finding with its letter; `at` is None when it has no place. `more`: of copies and of `alike` others."""

    letter: str
    severity: Severity
    text: str
    at: Point | None
    alike: int = 0
    more: tuple[Point, ...] = ()

    def sentence(self) -> str:
        """Return what is written beside the letter."""
        if not self.alike:
            return f"{self.severity}: {self.text}"
        return f"{self.alike + 1} {self.severity}s alike, the first: {self.text}"


def flags(
    findings: Iterable[Finding], places: Places, most: int = MOST_FLAGS, *, inches: bool = False
) -> tuple[tuple[Callout, ...], int]:
    """Return at most `most` flags and how many findings none of them stands for; `places` tells where one lies.

    Those that lie somewhere have letters.
    """
    groups = _groups(findings, most)
    lettered = _lettered(groups[:most], places)
    return tuple(_flag(letter, group, places, inches) for letter, group in lettered), sum(map(len, groups[most:]))


def letters_of(findings: Iterable[Finding], most: int = MOST_FLAGS) -> dict[int, str]:
    """Return by `id` of each finding the letter of the flag that stands for it, empty where none has a place."""
    told = _lettered(_groups(findings, most)[:most], own_places)
    return {id(f): letter for letter, group in told for f in group}


def _lettered(groups: Sequence[list[Finding]], places: Places) -> list[tuple[str, list[Finding]]]:
    """Return the groups with their letters; one that lies nowhere has none, or its flag would be looked for."""
    out, count = [], 0
    for group in groups:
        placed = any(map(places, group))
        out.append((letters(count) if placed else "", group))
        count += placed
    return out


def _groups(findings: Iterable[Finding], most: int) -> list[list[Finding]]:
    """Return the findings, worst first, each by itself or if they are too many the alike ones together."""
    told = sorted(findings, key=lambda f: WORST_FIRST.index(f.severity))
    if len(told) <= most:
        return [[f] for f in told]
    kinds: dict[tuple[Severity, str], list[Finding]] = {}
    for f in told:
        kinds.setdefault((f.severity, f.rule), []).append(f)
    return list(kinds.values())


def _flag(letter: str, group: Sequence[Finding], places: Places, inches: bool) -> Callout:
    """Return one flag for findings that are alike; the first that has a place is the one that is told."""
    first = next(filter(places, group), group[0])
    there = [*places(first), *(place for f in group if f is not first for place in places(f))]
    text, at = _sentence(first, inches), there[0] if there else None
    return Callout(letter, first.severity, text, at, len(group) - 1, tuple(there[1:]))


def own_places(finding: Finding) -> tuple[Point, ...]:
    """Return where a finding says that it lies: one place, or none."""
    at = own_place(finding)
    return () if at is None else (at,)


def own_place(finding: Finding) -> Point | None:
    """Return where a finding says that it lies."""
    return None if finding.x is None or finding.y is None else (finding.x, finding.y)


def _sentence(finding: Finding, inches: bool) -> str:
    text = said(finding.problem, inches)
    text = f"{text} (line {finding.line})" if finding.line is not None else text
    return f"{text} \u2192 {said(finding.remedy, inches)}" if finding.remedy else text


def letters(number: int) -> str:
    """Return A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = string.ascii_uppercase[rest] + text
    return text
