"""Lines of a program taken apart, and what is known for sure where each begins, for respelling them.

After NISTIR 6556; nothing here is taken from the product.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
PLAIN = re.compile(_NUMBER)
_COMMENTS = re.compile(r"\([^()]*\)")


@dataclass(frozen=True, slots=True)
class Line:
    """A line taken apart: words as letter and text of the value; None where it is not made of words."""

    code: str
    comments: str
    words: tuple[tuple[str, str], ...] | None
    damaged: bool = False
    """Whether a comment is not closed: such a line is never touched."""

    @property
    def g(self) -> list[str]:
        """Return the G words, the machine's own spelling off."""
        return [short(v) for k, v in self.words or () if k == "G"]

    def value(self, letter: str) -> str | None:
        """Return the text of a word's value."""
        return next((v for k, v in self.words or () if k == letter), None)

    def said(self, between: str = " ") -> str:
        """Return the line as text."""
        code = self.code if self.words is None else between.join(k + v for k, v in self.words)
        return self.comments if not code else f"{code} {self.comments}" if self.comments else code


def short(number: str) -> str:
    """Return the number of a code as we write it."""
    found = re.fullmatch(r"\+?0*(\d+)(\.\d*)?", number)
    return number if not found else found[1] + ("" if not (found[2] or "").strip(".0") else found[2])


@cache
def taken_apart(raw: str) -> Line:
    """Return a line taken apart."""
    bare = _COMMENTS.sub("", raw)
    comments = "".join(_COMMENTS.findall(raw))
    code = re.sub(r"[ \t]", "", bare)
    if "(" in bare or ")" in bare or ";" in bare:
        return Line(raw, "", None, True)
    return Line(code, comments, _words(code))


_WORD = re.compile(rf"([A-Z])({_NUMBER}|#\d+)|(#)(\d+=(?:{_NUMBER}|#\d+))")
_BRACKET = re.compile(r"([A-Z])(?=\[)|(#)(?=\d+=[A-Z]*\[)")


def _words(code: str) -> tuple[tuple[str, str], ...] | None:
    words, at = [], 0
    while at < len(code):
        found = _WORD.match(code, at)
        if found:
            words.append((found[1] or found[3], found[2] or found[4]))
            at = found.end()
            continue
        found = _BRACKET.match(code, at)
        if not found:
            return None
        end = _bracket_end(code, code.index("[", at))
        if end is None:
            return None
        words.append((found[0], code[found.end() : end]))
        at = end
    return tuple(words) if all(k not in "NO" for k, _ in words) else None


def _bracket_end(code: str, at: int) -> int | None:
    depth = 0
    for k in range(at, len(code)):
        depth += {"[": 1, "]": -1}.get(code[k], 0)
        if not depth:
            return k + 1
    return None


@dataclass(slots=True)
class Stand:
    """What a plain reading knows for sure before a line; None: not known."""

    x: Decimal | None = None
    y: Decimal | None = None
    incremental: bool | None = None
    motion: str | None = None
    feed: str | None = None
    unit: str = ""
    system: str = ""
    feed_mode: str = "94"

    def forget(self) -> None:
        """Know nothing for sure any more."""
        self.x = self.y = self.incremental = self.motion = self.feed = None

    def after(self, line: Line) -> None:
        """Go on behind a line."""
        if not line.code or re.match(r"/?IF\[", line.code):
            return
        if line.words is None or line.damaged:
            self.forget()
            return
        letters = [k for k, _ in line.words if k not in "GM#"]
        codes = line.g
        motions = [g for g in codes if g in MOTIONS]
        m_known = all(short(v) in _M_KNOWN for k, v in line.words if k == "M")
        if len(set(letters)) < len(letters) or len(motions) > 1 or not m_known or not _G_KNOWN.issuperset(codes):
            self.forget()
            return
        if any(k == "#" and v.startswith("5") for k, v in line.words):
            self.x = self.y = None
        self._modes(codes, motions)
        if line.value("F") is not None:
            self.feed = line.value("F") if PLAIN.fullmatch(line.value("F") or "") else None
        sideways = self.motion in _PROBES and {"X", "Y"} & set(letters)  # it ends nobody knows where
        if {"53", "28", "30", "92.1", "92.2", "92.3", "52"} & set(codes) or sideways:
            self.x = self.y = None
        else:
            self._moved(line, "92" in codes or "10" in codes)

    def _modes(self, codes: list[str], motions: list[str]) -> None:
        self.motion = motions[0] if motions else self.motion
        for code in codes:
            if code in ("20", "21") and self.unit != code:
                if self.unit:
                    self.x = self.y = self.feed = None
                self.unit = code
            elif code in ("93", "94") and code != self.feed_mode:
                self.feed, self.feed_mode = None, code
            elif re.fullmatch(r"5[4-9](\.\d)?", code) and code != self.system:
                self.x = self.y = None
                self.system = code
            elif code in ("90", "91"):
                self.incremental = code == "91"

    def _moved(self, line: Line, only_told: bool) -> None:
        for name in "xy":
            said = line.value(name.upper())
            if said is None:
                continue
            here = getattr(self, name)
            if only_told or not PLAIN.fullmatch(said) or self.incremental is None:
                setattr(self, name, None)
            elif self.incremental:
                setattr(self, name, None if here is None else here + Decimal(said))
            else:
                setattr(self, name, Decimal(said))


MOTIONS = ("0", "1", "2", "3", "31", "38.2", "80")
_PROBES = ("31", "38.2")
_G_KNOWN = frozenset((
    *MOTIONS, "4", "10", "17", "18", "19", "20", "21", "28", "30", "40", "41", "42", "43", "49", "52", "53", "54",
    "55", "61", "64", "90", "90.1", "91", "91.1", "92", "92.1", "92.2", "92.3", "93", "94",
))  # fmt: skip
_M_KNOWN = frozenset("0 1 2 30 3 4 5 7 8 9 62 63 64 65 66 67 68".split())


def standing(lines: Sequence[Line]) -> Iterator[tuple[Line, Stand]]:
    """Yield each line with what is known before it."""
    stand = Stand()
    for line in lines:
        yield line, replace(stand)
        stand.after(line)
