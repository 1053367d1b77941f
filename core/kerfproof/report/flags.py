"""Which findings a picture shows: the worst first, alike ones under one flag, the rest counted."""

from __future__ import annotations

import string
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from kerfproof.errors import Finding, Severity

Point = tuple[float, float]
WORST_FIRST = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
MOST_FLAGS = 8
"""More would bury the part; so many findings are told one by one, of more the alike ones share a flag."""


@dataclass(frozen=True, slots=True)
class Callout:
    """A finding with its letter; `at` is None when it has no place. `more` are the places of `alike` others."""

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
    findings: Iterable[Finding], place: Callable[[Finding], Point | None], most: int = MOST_FLAGS
) -> tuple[tuple[Callout, ...], int]:
    """Return at most `most` flags and how many findings none of them stands for; `place` tells where one lies."""
    groups = _groups(findings, most)
    shown = tuple(_flag(letters(number), group, place) for number, group in enumerate(groups[:most]))
    return shown, sum(map(len, groups[most:]))


def letters_of(findings: Iterable[Finding], most: int = MOST_FLAGS) -> dict[int, str]:
    """Return by `id` of each finding the letter of the flag that stands for it, where one has a place."""
    told = [group for group in enumerate(_groups(findings, most)[:most]) if any(map(own_place, group[1]))]
    return {id(f): letters(number) for number, group in told for f in group}


def _groups(findings: Iterable[Finding], most: int) -> list[list[Finding]]:
    """Return the findings, worst first, each by itself or if they are too many the alike ones together."""
    told = sorted(findings, key=lambda f: WORST_FIRST.index(f.severity))
    if len(told) <= most:
        return [[f] for f in told]
    kinds: dict[tuple[Severity, str], list[Finding]] = {}
    for f in told:
        kinds.setdefault((f.severity, f.rule), []).append(f)
    return list(kinds.values())


def _flag(letter: str, group: Sequence[Finding], place: Callable[[Finding], Point | None]) -> Callout:
    """Return one flag for findings that are alike; the first that has a place is the one that is told."""
    first = next((f for f in group if place(f) is not None), group[0])
    places = tuple(at for f in group if f is not first and (at := place(f)) is not None)
    return Callout(letter, first.severity, _sentence(first), place(first), len(group) - 1, places)


def own_place(finding: Finding) -> Point | None:
    """Return where a finding says that it lies."""
    return None if finding.x is None or finding.y is None else (finding.x, finding.y)


def _sentence(finding: Finding) -> str:
    text = f"{finding.message} (line {finding.line})" if finding.line is not None else finding.message
    return f"{text} \u2192 {finding.advice}" if finding.advice else text


def letters(number: int) -> str:
    """Return A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = string.ascii_uppercase[rest] + text
    return text
