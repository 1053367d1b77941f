"""The lines of a program, each different one kept once: a program says much the same again and again."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

import numpy as np

from kerfproof.geom.path import Ints
from kerfproof.motion.lexer import lines_of

_COMMENT = re.compile(r"\([^)]*\)|;.*")


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines of a program, counted from 0. Line k is number `which[k]` of those that differ.

    `words` are the different lines without comments and spaces, in capitals; `said` is all of them in one text.
    """

    different: tuple[str, ...]
    words: tuple[str, ...]
    said: str
    which: Ints

    @staticmethod
    def of(text: str) -> Lines:
        """Return the lines of a text."""
        every = lines_of(text)
        number: defaultdict[str, int] = defaultdict(count().__next__)  # a line met first takes the next number
        which = np.fromiter(map(number.__getitem__, every), np.int64, len(every))
        # All at once: a call for each line would take several times as long.
        said = _plain("\n".join([_COMMENT.sub("", line) if "(" in line or ";" in line else line for line in number]))
        return Lines(tuple(number), tuple(said.split("\n")) if number else (), said, which)

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
