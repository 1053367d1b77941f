"""The words of a program line by what they do, for colouring. No Qt."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kerfproof.shop.profile import Machine

COMMENT, CUT, TRAVEL, TOUCH, TORCH, WAIT, STOP, HEIGHT, PLACE, PACE, FORMULA, STATE = (
    "comment", "cut", "travel", "touch", "torch", "wait", "stop", "height", "place", "pace", "formula", "state",
)  # fmt: skip
ROLES = (COMMENT, CUT, TRAVEL, TOUCH, TORCH, WAIT, STOP, HEIGHT, PLACE, PACE, FORMULA, STATE)

_WORD = re.compile(
    r"""(?P<comment>\([^)]*\)?|;.*)
    | (?P<formula>\#\s*\d+\s*=.*?(?=\(|;|$)|\#<[^>]*>\s*=.*?(?=\(|;|$)|[oO]\s*\d+.*?(?=\(|;|$))
    | (?P<letter>[A-Za-z])\s*(?P<value>[-+]?(?:\d+\.?\d*|\.\d+)|\[[^\]]*(?:\[[^\]]*\][^\]]*)*\]|[-+]?\#\s*\d+)""",
    re.VERBOSE,
)
_G = {
    "0": TRAVEL, "1": CUT, "2": CUT, "3": CUT, "4": WAIT, "10": TOUCH, "31": TOUCH, "38.2": TOUCH, "38.3": TOUCH,
    "38.4": TOUCH, "38.5": TOUCH, "92": TOUCH, "92.1": TOUCH, "92.2": TOUCH, "92.3": TOUCH,
}  # fmt: skip
_M = {"0": STOP, "1": STOP, "2": STOP, "30": STOP, "60": STOP}
_LETTERS = {"X": PLACE, "Y": PLACE, "I": PLACE, "J": PLACE, "R": PLACE, "Z": HEIGHT, "K": HEIGHT, "F": PACE, "S": PACE}


@dataclass(frozen=True, slots=True)
class ColoredWord:
    """Characters `start` to `end` of a line and what they do."""

    start: int
    end: int
    role: str


class WordReader:
    """Reads lines for one machine: its own torch words are known to it."""

    def __init__(self, machine: Machine | None = None) -> None:
        lines = (machine.torch_on, machine.torch_off) if machine else ("M3", "M5")
        self._torch = {_plain(word) for line in lines for word in re.findall(r"[Mm]\s*\d+", line)}

    def words(self, line: str) -> tuple[ColoredWord, ...]:
        """Return the words of a line from left to right."""
        return tuple(self._read(line))

    def _read(self, line: str) -> Iterator[ColoredWord]:
        for match in _WORD.finditer(line):
            role = COMMENT if match["comment"] else FORMULA if match["formula"] else self._role(match)
            yield ColoredWord(match.start(), match.end(), role)

    def _role(self, match: re.Match[str]) -> str:
        letter, number = match["letter"].upper(), _number(match["value"])
        if letter == "G":
            return _G.get(number, STATE)
        if letter == "M":
            return TORCH if f"M{number}" in self._torch else _M.get(number, STATE)
        if letter == "P":
            return WAIT
        if match["value"].startswith(("[", "#")):
            return FORMULA
        return _LETTERS.get(letter, STATE)


@lru_cache(maxsize=4096)
def _number(text: str) -> str:
    try:
        return f"{float(text):g}"
    except ValueError:
        return text


def _plain(word: str) -> str:
    return f"M{_number(word[1:].strip())}"
