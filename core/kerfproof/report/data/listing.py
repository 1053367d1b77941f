"""Findings on a program as text: grouped by rule, each with its line and a mark under the word it is about."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.proof.evidence.free_pieces import FreePiece
from kerfproof.sentence import Phrase, Sentence, counted, joined_phrases, mm_size, named, said, say

SHOWN = 3
"""So many places of one rule are shown with their line; the others are only named."""
NAMED = 12
WIDEST = 100
"""Longer lines of the program are shown in part."""

_WORDS = (
    ("feed", "F"), ("search", "Z"), ("touch-too-fast", "F"), ("float", "Z"), ("cut-height", "Z"), ("height", "Z"),
    ("datum-touches-xy", "X"), ("datum", "Z"), ("dwell", "P"), ("light-delay", "P"), ("arc-radius", "I"),
)  # fmt: skip
"""Which word of a line a rule is about, by how its name begins; else the first word."""
_COMMENT = re.compile(r"\([^)]*\)")


def listing(findings: Sequence[Finding], text: str = "", *, inches: bool = False) -> list[str]:
    """Return the findings as lines of text, errors first, rule by rule in order of the first place.

    `text` is the program they are about; without it no lines are shown.
    """
    lines = lines_of(text)
    out: list[str] = []
    for severity in Severity:
        groups: dict[str, list[Finding]] = {}
        for finding in findings:
            if finding.severity is severity:
                groups.setdefault(finding.rule, []).append(finding)
        for rule, found in groups.items():
            out += [*_group(severity, rule, found, lines, inches)]
    return out


def totals(findings: Sequence[Finding]) -> str:
    """Return how many findings of each weight there are, as ``2 errors, 1 warning, 3 notes``."""
    counts = [(s, sum(f.severity is s for f in findings)) for s in Severity]
    said = [f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts if n]
    return ", ".join(said) or "nothing found"


def piece_lines(pieces: Sequence[FreePiece]) -> list[Phrase]:
    """Return the pieces that come free, alike ones in one line each: size, holes, and whether they may tip."""
    alike: dict[str, list[FreePiece]] = {}
    for piece in pieces:
        alike.setdefault(str(_piece(piece)), []).append(piece)
    out: list[Phrase] = []
    for found in list(alike.values())[:NAMED]:
        lines = ", ".join(str(p.line) for p in found[:SHOWN]) + (", ..." if len(found) > SHOWN else "")
        what = "{count} of {piece} (after the cut of line {lines})"
        out.append(say(what, count=len(found), piece=_piece(found[0]), lines=lines))
    if len(alike) > NAMED:
        out.append(f"and {counted(len(alike) - NAMED, 'more kind')} of pieces")
    return out


def _piece(piece: FreePiece) -> Sentence:
    """Return size and holes of a piece: ``100 x 60 mm with 2 holes D10, 1 hole 20 x 8``."""
    holes: dict[str, int] = {}
    for opening in piece.openings:
        size = f"D{_mm(opening.diameter)}" if opening.diameter else f"{_mm(opening.width)} x {_mm(opening.height)}"
        holes[size] = holes.get(size, 0) + 1
    told = joined_phrases(named(f"{counted(count, 'hole')} {size}") for size, count in sorted(holes.items()))
    return say(
        "{size}{holes}{tips}",
        size=mm_size(piece.width, piece.height),
        holes=say(" with {holes}", holes=told) if holes else "",
        tips=" that may tip between the slats" if piece.rests is False else "",
    )


def _mm(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _group(severity: Severity, rule: str, found: list[Finding], lines: list[str], inches: bool) -> Iterator[str]:
    told = list(dict.fromkeys(f.sentence() for f in found))
    count = f", {len(told)} places" if len(told) > 1 else ""
    yield f"{severity}: {rule}{count}"
    advices = list(dict.fromkeys(said(f.remedy, inches) for f in found if f.remedy))
    seen: set[str] = set()
    shown = [f for f in found if not (f.sentence() in seen or seen.add(f.sentence()))]  # type: ignore[func-returns-value]
    for finding in shown[:SHOWN]:
        yield f"  {finding.whole(lined=False).told(inches)}"
        yield from _source(finding, lines)
        if len(advices) > 1 and finding.remedy:
            yield f"  -> {said(finding.remedy, inches)}"
    rest = shown[SHOWN:]
    if rest:
        places = [str(f.line) for f in rest if f.line is not None]
        at = f" (lines {', '.join(places[:NAMED])}{', ...' if len(places) > NAMED else ''})" if places else ""
        yield f"  and {len(rest)} more{at}"
    if len(advices) == 1:
        yield f"  -> {advices[0]}"


def _source(finding: Finding, lines: list[str]) -> Iterator[str]:
    """Yield the program line of a finding and a mark below it."""
    if finding.line is None or not 1 <= finding.line <= len(lines):
        return
    text = "".join(c if c.isprintable() else " " for c in lines[finding.line - 1])
    column = finding.column or caret(finding.rule, text)
    first = max(0, min(column - WIDEST // 2, len(text) - WIDEST))
    part = text[first : first + WIDEST]
    number = f"{finding.line:>6} | "
    yield number + part
    yield " " * (len(number) - 2) + "| " + " " * (column - 1 - first) + "^"


def caret(rule: str, text: str) -> int:
    """Return the column (from 1) of the word that a rule is about in a line: that with its letter, else the first."""
    code = _COMMENT.sub(lambda m: " " * len(m[0]), text).upper()
    for name, letter in _WORDS:
        if rule.startswith(name) and letter in code:
            return code.index(letter) + 1
    found = re.search(r"(?!N\d)[A-Z#/%]", re.sub(r"^\s*N\d+", lambda m: " " * len(m[0]), code))
    return found.start() + 1 if found else len(text) - len(text.lstrip()) + 1
