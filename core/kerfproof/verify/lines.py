"""The lines of a program, each different one kept once: a program says much the same again and again."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

import numpy as np

from kerfproof.geom.path import Bools, Ints

_COMMENT = re.compile(r"\([^)]*\)|;.*")
_MOVE = r"(?:N\d++)?+(?:G0?[0-3](?![\d.]))?+(?=[XY])(?:[XYIJRF][-+]?+[\d.]++)++\n"
_MOVES = re.compile(rf"\n(?>{_MOVE})++")
"""Lines that follow each other and are plain moves in the plane, in words."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines of a program, counted from 0. Line k is number `which[k]` of those that differ.

    `words` are the different lines without comments and spaces, in capitals; `said` is all of them in one text. `plain`
    tells which of them are plain moves in the plane: G0 to G3 with numbers for X, Y, I, J, R and F, and nothing else.
    """

    different: tuple[str, ...]
    words: tuple[str, ...]
    said: str
    which: Ints
    plain: Bools

    @staticmethod
    def of(text: str) -> Lines:
        """Return the lines of a text."""
        every = text.splitlines()
        number: defaultdict[str, int] = defaultdict(count().__next__)  # a line met first takes the next number
        which = np.fromiter(map(number.__getitem__, every), np.int64, len(every))
        # All at once: a call for each line would take several times as long.
        said = _plain("\n".join([_COMMENT.sub("", line) if "(" in line or ";" in line else line for line in number]))
        return Lines(
            tuple(number), tuple(said.split("\n")) if number else (), said, which, _plain_moves(said)[: len(number)]
        )

    def __len__(self) -> int:
        return len(self.which)

    def __getitem__(self, k: int) -> str:
        return self.different[int(self.which[k])]

    def words_at(self, k: int) -> str:
        """Return the words of line `k`."""
        return self.words[int(self.which[k])]

    def saying(self, told: Callable[[str], object], said: str = "") -> Ints:
        """Return the lines, in order, of whose words `told` is true: all of them say `said`."""
        if said not in self.said:
            return np.empty(0, dtype=np.int64)
        hit = np.fromiter(map(bool, map(told, self.words)), np.bool_, len(self.words))
        return np.flatnonzero(hit[self.which])


def words_of(line: str) -> str:
    """Return a line without comments and spaces, in capitals."""
    return _plain(_COMMENT.sub("", line))


def _plain(text: str) -> str:
    return text.replace(" ", "").replace("\t", "").upper()


def _plain_moves(said: str) -> Bools:
    """Return which lines of a text of words are plain moves in the plane."""
    text = f"\n{said}\n"
    breaks = np.flatnonzero(np.frombuffer(text.encode("latin-1", "replace"), np.uint8) == ord("\n"))
    out = np.zeros(len(breaks), dtype=np.int64)
    spans = np.array([match.span() for match in _MOVES.finditer(text)], dtype=np.int64).reshape(-1, 2)
    np.add.at(out, np.searchsorted(breaks, spans[:, 0]), 1)
    np.add.at(out, np.searchsorted(breaks, spans[:, 1] - 1), -1)
    return np.asarray(np.cumsum(out)[:-1] > 0)
