"""One line of text taken apart: comments, spaces, words (NISTIR 6556, 3.3 and appendix E)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from kerfproof.gcode.reader.expression import NUMBER, Misread, Value, plain_value, read_value

KNOWN_LETTERS = frozenset("ABCDFGHIJKLMPQRSTXYZ")
_NUMBERED = re.compile(r"N([-+.0-9]*)")
_DIGITS = re.compile(r"[0-9]{1,5}")
_PLAIN_CODE = re.compile(r"[A-Z0-9.+\-#\[\]*/=<>%]*")
_PLAIN_WORD = re.compile(rf"([A-MP-Z])({NUMBER.pattern})")
_SPLIT = re.compile(r"[A-Za-z0-9.+\-#]\([0-9.]|[A-Za-z]\([-+\[#]")
"""A comment between a letter and its number or in the middle of that: comments stand between words (appendix E)."""
LONGEST = 1024
"""Lines with more characters than this stay as they are: four times what the published language allows."""
_BRACKETED = re.compile(rf"(?<![A-Z][A-Z])(?<!/)\[({NUMBER.pattern})\]")
"""A number in brackets of its own: behind two letters it is what a function works on."""


class Word(NamedTuple):
    """A letter, its value and its index in the line without spaces."""

    letter: str
    value: Value
    at: int


class Setting(NamedTuple):
    """``#number = value``; both may need working out."""

    number: Value
    value: Value
    at: int


@dataclass(frozen=True, slots=True)
class Scan:
    """A line without spaces and comments, in capitals, with its comments and the first fault among these."""

    code: str
    comments: tuple[str, ...] = ()
    fault: Misread | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """The words and parameter settings of one line, in the order written."""

    words: tuple[Word, ...]
    settings: tuple[Setting, ...]
    deletable: bool
    """Whether the line begins with ``/``."""


def one_kind_of_end(text: str) -> str:
    """Return a text whose lines all end in a line feed."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def lines_of(text: str) -> list[str]:
    """Return the lines of a program as they are counted: all three kinds of line end count, nothing else does."""
    lines = one_kind_of_end(text).split("\n")
    if not lines[-1]:
        lines.pop()
    return lines


def scan(line: str, semicolons: bool) -> Scan:
    """Return the line without spaces, tabs and comments; `semicolons` says whether ``;`` begins a comment."""
    if "(" not in line and ";" not in line and ")" not in line:
        code = _capitals(line.replace(" ", "").replace("\t", ""))
        return Scan(code, (), _strange(code))
    if line[0] == "(" and line.find(")") == len(line) - 1 and line.rfind("(") == 0:
        return Scan("", (line[1:-1].strip(),))
    pieces, comments, fault, at = [], [], None, 0
    while True:
        mark = _next_mark(line, at, semicolons)
        pieces.append(line[at:mark])
        if mark == len(line):
            break
        if line[mark] == ";":
            comments.append(line[mark + 1 :].strip())
            break
        close = line.find(")", mark)
        if close < 0:
            fault = fault or Misread("the comment is not closed", column=mark + 1)
            comments.append(line[mark + 1 :].strip())
            break
        if "(" in line[mark + 1 : close]:
            fault = fault or Misread("a comment inside a comment", column=mark + 1)
        elif _SPLIT.search(line[:mark].rstrip()[-1:] + "(" + line[close + 1 :].lstrip()[:1]):
            fault = fault or Misread("a comment inside a word", column=mark + 1)
        comments.append(line[mark + 1 : close].strip())
        at = close + 1
    code = _capitals("".join(pieces).replace(" ", "").replace("\t", ""))
    return Scan(code, tuple(comments), fault or _strange(code))


def column(line: str, index: int, semicolons: bool) -> int:
    """Return the column (from 1) in `line` of a character of its `scan` by its index there."""
    at, seen = 0, -1
    while at < len(line):
        mark = _next_mark(line, at, semicolons)
        for place in range(at, mark):
            seen += line[place] not in " \t"
            if seen == index:
                return place + 1
        close = line.find(")", mark)
        if mark == len(line) or line[mark] == ";" or close < 0:
            break
        at = close + 1
    return max(len(line), 1)


def canonical(code: str) -> str:
    """Return a line without spaces in the one spelling that all its spellings share.

    Line numbers, leading and trailing zeros, plus signs, brackets round plain numbers and the order of words make no
    difference to a control. Text that is no line of the language keeps its order.
    """
    if len(code) > LONGEST:
        return code  # no control reads it
    slash = "/" if code.startswith("/") else ""
    code = _unnumbered(code[len(slash) :])
    try:
        line = read_line(code)
    except Misread:
        return slash + _one_spelling(code)
    starts = sorted([word.at for word in line.words] + [setting.at for setting in line.settings])
    pieces = [_one_spelling(code[a:b]) for a, b in pairwise([*starts, len(code)])]
    settings = [piece for piece in pieces if piece.startswith("#")]  # what is set first may be read by the next
    return slash + "".join([*sorted(piece for piece in pieces if not piece.startswith("#")), *settings])


def _unnumbered(code: str) -> str:
    """Return a line without spaces without its line number; one that is no line number stays."""
    match = _NUMBERED.match(code)
    return code[match.end() :] if match and _DIGITS.fullmatch(match.group(1)) else code


def _one_spelling(code: str) -> str:
    """Return text with each number in its shortest form and no brackets round a plain number."""
    code, more = NUMBER.sub(_shortest, code), 1
    while more:
        code, more = _BRACKETED.subn(r"\1", code)
    return code


def _shortest(found: re.Match[str]) -> str:
    text, before = found.group(), found.string[max(found.start() - 1, 0) : found.start()]
    operator = text[0] if text[0] in "+-" and before and (before.isdigit() or before in ".]") else ""
    return operator + _shortest_value(text[len(operator) :])


def _shortest_value(text: str) -> str:
    value = f"{float(text):.9f}".rstrip("0").rstrip(".")
    return "0" if value == "-0" else value


def read_line(code: str) -> Line:
    """Return the words and settings of a line without spaces.

    Raises
    ------
    Misread
        If the text is not a line of the language.
    """
    deletable = code.startswith("/")
    at = _after_line_number(code, 1 if deletable else 0)
    words: list[Word] = []
    settings: list[Setting] = []
    while at < len(code):
        plain = _PLAIN_WORD.match(code, at)
        if plain:
            words.append(Word(plain[1], plain_value(plain[2], at + 1), at))
            at = plain.end()
            continue
        letter = code[at]
        if letter == "#":
            setting, at = _read_setting(code, at)
            settings.append(setting)
            continue
        if not "A" <= letter <= "Z":
            raise Misread(f"'{letter}' can't stand here", at)
        if letter == "N":
            raise Misread("the line number must come first", at)
        if letter == "O" and not code[at + 1 :].isdigit():
            raise Misread("an O word: subprograms, loops and jumps are not followed here", at)
        value, after = read_value(code, at + 1)
        words.append(Word(letter, value, at))
        at = after
    return Line(tuple(words), tuple(settings), deletable)


def _after_line_number(code: str, at: int) -> int:
    match = _NUMBERED.match(code, at)
    if not match:
        return at
    if not _DIGITS.fullmatch(match.group(1)):
        raise Misread("a line number has 1 to 5 digits and nothing else", at)
    return match.end()


def _read_setting(code: str, at: int) -> tuple[Setting, int]:
    if code.startswith("#<", at):
        raise Misread("parameters with names are not in the language", at)
    number, after = read_value(code, at + 1)
    if not code.startswith("=", after):
        raise Misread("a parameter setting needs =", after)
    value, end = read_value(code, after + 1)
    return Setting(number, value, at), end


def _next_mark(line: str, at: int, semicolons: bool) -> int:
    """Return where the next comment begins, the length of the line if there is none."""
    places = [line.find("(", at), line.find(";", at) if semicolons else -1]
    found = [place for place in places if place >= 0]
    return min(found) if found else len(line)


def _capitals(code: str) -> str:
    # The full upper() can make two characters of one, and columns would shift.
    return code.upper() if code.isascii() else "".join(c.upper() if c.isascii() else c for c in code)


def _strange(code: str) -> Misread | None:
    end = _PLAIN_CODE.match(code)
    if end is None or end.end() == len(code):
        return None
    character = code[end.end()]
    shown = f"'{character}'" if character.isprintable() else f"character {ord(character)}"
    return Misread(f"{shown} is not in the language", end.end())
