"""The lines of a program, each different one kept once: a program says much the same again and again."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import count

import numpy as np

from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.lexer import Word, canonical, lines_of, read_line, scan
from kerfproof.geom.path import Bools, Ints

_IN_PLANE = np.zeros(256, dtype=np.bool_)
_IN_PLANE[list(b"NGXYIJRF+-.0123456789")] = True
_PLACE = np.zeros(256, dtype=np.bool_)
_PLACE[list(b"XY")] = True
_DIGIT = np.zeros(256, dtype=np.bool_)
_DIGIT[list(b".0123456789")] = True


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines of a program, counted from 0. Line k is number `which[k]` of those that differ.

    `plain` tells which of the different lines are plain moves in the plane: G0 to G3 or no motion word, X or Y, and
    nothing else but I, J, R and F, all as numbers. `words` are the different lines without comments and spaces, in
    capitals; those that are no plain moves in the one spelling that all their spellings share.
    """

    different: tuple[str, ...]
    words: tuple[str, ...]
    plain: Bools
    which: Ints

    @staticmethod
    def of(text: str, semicolons: bool = False) -> Lines:
        """Return the lines of a text; `semicolons` tells whether ``;`` begins a comment."""
        every = lines_of(text)
        number: defaultdict[str, int] = defaultdict(count().__next__)  # a line met first takes the next number
        which = np.fromiter(map(number.__getitem__, every), np.int64, len(every))
        # All at once: a call for each line would take several times as long.
        said = "\n".join([_code(k, semicolons) for k in number]).replace(" ", "").replace("\t", "")
        words = (said.upper() if said.isascii() else said).split("\n") if number else []
        plain = _plain(words)
        for k in np.flatnonzero(~plain).tolist():
            words[k] = words[k] and canonical(scan(words[k], False).code)
        return Lines(tuple(number), tuple(words), plain, which)

    def __len__(self) -> int:
        return len(self.which)

    def __getitem__(self, k: int) -> str:
        return self.different[int(self.which[k])]

    def words_at(self, k: int) -> str:
        """Return the words of line `k`."""
        return self.words[int(self.which[k])]

    def letters_at(self, k: int) -> frozenset[str]:
        """Return the letters of the words of line `k`; none of a line that can't be read."""
        return letters_of(self.words_at(k))


def letters_of(words: str) -> frozenset[str]:
    """Return the letters of the words of a line without spaces in capitals."""
    return frozenset(word.letter for word in _readable(words))


def _readable(words: str) -> tuple[Word, ...]:
    try:
        return read_line(words).words
    except Misread:
        return ()


def words_of(line: str, semicolons: bool = False) -> str:
    """Return the words of a line in the one spelling that all spellings share."""
    return canonical(scan(line, semicolons).code)


def waits_for_motion(line: str) -> bool:
    """Return whether a line switches an output that waits for the next motion."""
    words = words_of(line) if "6" in line else ""  # M62, M63 and M67, however they are spelled
    return "M6" in words and any(word.letter == "M" and word.value in modes.LATE for word in _readable(words))


def _code(line: str, semicolons: bool) -> str:
    return scan(line, semicolons).code if "(" in line or ")" in line or ";" in line else line


def _plain(words: list[str]) -> Bools:
    """Return which lines, without comments and spaces, are plain moves in the plane."""
    if not words:
        return np.zeros(0, dtype=np.bool_)
    text = np.frombuffer(("\n".join(words) + "\n\n\n\n").upper().encode("latin-1", "replace"), np.uint8)
    ends = np.flatnonzero(text == ord("\n"))[: len(words)]
    begins = np.concatenate([[0], ends[:-1] + 1])
    strange, places = (np.concatenate([[0], np.cumsum(table[text])]) for table in (~_IN_PLANE, _PLACE))
    out = (strange[ends] == strange[begins]) & (places[ends] > places[begins])
    for letter in b"GN":  # a motion word of one digit, perhaps with a zero before it; a line number at the start
        at = np.flatnonzero(text == letter)
        line = np.searchsorted(ends, at)
        first, second, third = text[at + 1], text[at + 2], text[at + 3]
        zero = (first == ord("0")) & _DIGIT[second]
        digit, behind = np.where(zero, second, first), np.where(zero, third, second)
        wrong = (digit < ord("0")) | (digit > ord("3")) | _DIGIT[behind] if letter == ord("G") else at != begins[line]
        out[line[wrong]] = False
    return np.asarray(out)
