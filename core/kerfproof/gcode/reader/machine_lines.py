"""The lines of a machine file known by what they do: torch, height control, sense circuit, wait for the arc.

A program may spell such a line in any way that the language allows, or put it beside other words; and a digital output
has two words that switch it (at once, or with the next motion). What counts is what is switched, never the text.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import NamedTuple

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.arrange import Plain, arrange
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.lexer import Line, canonical, read_line, scan
from kerfproof.gcode.reader.modes import TORCH, TORCH_OFF, TORCH_ON, Language, MachineLine


class Spoken(NamedTuple):
    """A control's language with the lines of a machine file.

    `strange` lines are none of the language (they may hold a character that the control alone knows): they are known
    by their spelling, with their purpose and their text.
    """

    language: Language
    strange: Mapping[str, tuple[str, str]]


def spoken(dialect: Dialect, lines: Mapping[str, str]) -> Spoken:
    """Return the language of a dialect with the lines of a machine file by purpose; a value may hold several."""
    plain = Language.of(dialect)
    texts = [(purpose, text.strip()) for purpose, value in lines.items() for text in value.split("\n") if text.strip()]
    codes = [scan(text, dialect.semicolon_comments).code for _, text in texts]
    read = [_words(code) for code in codes]
    own = _own_words(line for line in read if line is not None)
    language = plain.with_outputs(own)
    known, strange, off_word = [], {}, True
    for (purpose, text), code, line in zip(texts, codes, read, strict=True):
        done = switches(line, language) if line is not None else ""
        keys = None if isinstance(done, str) else done
        if keys is None:
            strange[canonical(code)] = purpose, text
        spindle = bool(keys) and all(key[0] == TORCH for key in keys or ())
        if purpose == TORCH_OFF:
            off_word = spindle
        if keys and not (spindle and purpose in (TORCH_ON, TORCH_OFF)):
            known.append(MachineLine(purpose, text, keys))
    declared = frozenset(own) - plain.outputs - frozenset().union(*modes.OUTPUT_FAMILIES)
    return Spoken(replace(language, machine=tuple(known), off_word=off_word, declared=declared), strange)


def _words(code: str) -> Line | None:
    """Return a line that holds nothing but words with plain values, None for any other."""
    try:
        line = read_line(code)
    except Misread:
        return None
    plain = not line.settings and not line.deletable and all(isinstance(word.value, float) for word in line.words)
    return line if plain and line.words else None


def _own_words(lines: Iterable[Line]) -> set[int]:
    """Return the M words of lines that are not of the language; of an output all words that switch it."""
    codes = {round(w.value) for line in lines for w in line.words if w.letter == "M" and isinstance(w.value, float)}
    own = {code for code in codes if code not in modes.M_GROUPS}
    return own | {code for family in modes.OUTPUT_FAMILIES if own & family for code in family}


def own_language(dialect: Dialect, lines: Iterable[str]) -> Language:
    """Return the language of a dialect with the M words of a machine's own lines."""
    read = [_words(scan(text, dialect.semicolon_comments).code) for text in lines]
    return Language.of(dialect).with_outputs(_own_words(line for line in read if line is not None))


@cache
def switched_by(text: str, dialect: Dialect, own: tuple[str, ...]) -> frozenset[tuple[Hashable, ...]]:
    """Return what a line switches on a machine with lines of its `own`; nothing if it can't be read."""
    line = _words(scan(text, dialect.semicolon_comments).code)
    done = switches(line, own_language(dialect, own)) if line is not None else ""
    return frozenset() if isinstance(done, str) else done


def switches(line: Line, language: Language) -> frozenset[tuple[Hashable, ...]] | str:
    """Return what a line switches, or why it is no line of the language."""
    words = [Plain(w.letter, w.value, w.at) for w in line.words if isinstance(w.value, float)]
    try:
        arranged = arrange(words, language)
    except Misread as fault:
        return fault.reason
    if arranged.notes:
        return arranged.notes[0].reason
    keys = [modes.switched(act.part, act.values) for act in arranged.acts]
    return frozenset(key for key in keys if key is not None)
