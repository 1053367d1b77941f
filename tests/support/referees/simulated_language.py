"""The language of the simulated control, read line by line: words, numbers, parameters, expressions.

Written from NISTIR 6556 (RS-274/NGC) as far as remembered, without any part of the product: what the proof misreads is
to be seen here. A line is taken apart once and kept, since the same lines come again in every edit and on every table.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)")
_ENDS = re.compile(r"\r\n|\n|\r")
_NUMBERED = re.compile(r"^N\d{1,5}(?![\d.])")
_IF = re.compile(r"IF(\[.*\])THEN(#.*)")
_TWO = {"ATAN"}
_ONE: Mapping[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda v: math.degrees(math.acos(v)),
    "ASIN": lambda v: math.degrees(math.asin(v)),
    "COS": lambda v: math.cos(math.radians(v)),
    "EXP": math.exp,
    "FIX": math.floor,
    "FUP": math.ceil,
    "LN": math.log,
    "ROUND": lambda v: math.floor(v + 0.5),
    "SIN": lambda v: math.sin(math.radians(v)),
    "SQRT": math.sqrt,
    "TAN": lambda v: math.tan(math.radians(v)),
}
_LEVELS: tuple[Mapping[str, Callable[[float, float], float]], ...] = (
    {
        "EQ": lambda a, b: float(abs(a - b) < 1e-9),
        "NE": lambda a, b: float(abs(a - b) >= 1e-9),
        "GT": lambda a, b: float(a > b),
        "GE": lambda a, b: float(a >= b),
        "LT": lambda a, b: float(a < b),
        "LE": lambda a, b: float(a <= b),
    },
    {
        "+": lambda a, b: a + b,
        "-": lambda a, b: a - b,
        "AND": lambda a, b: float(bool(a) and bool(b)),
        "XOR": lambda a, b: float(bool(a) != bool(b)),
        "OR": lambda a, b: float(bool(a) or bool(b)),
    },
    {"*": lambda a, b: a * b, "/": lambda a, b: a / b, "MOD": lambda a, b: a % b},
    {"**": lambda a, b: a**b},
)
"""Operations from the loosest to the tightest."""

Parameters = Callable[[int], float]
Value = Callable[[Parameters], float]


class Refused(Exception):
    """The control stops at a line with an error."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A line taken apart: words in the order written, parameters set by it, the condition they hang on."""

    words: tuple[tuple[str, Value], ...] = ()
    settings: tuple[tuple[Value, Value], ...] = ()
    condition: Value | None = None
    deletable: bool = False
    fault: str = ""


def lines_of(text: str) -> list[str]:
    """Return the lines of a program; only a line feed, a carriage return or both end one."""
    lines = _ENDS.split(text)
    return lines[:-1] if lines and not lines[-1] else lines


@lru_cache(maxsize=200_000)
def take(line: str, semicolons: bool, expressions: bool, tests: bool, limit: int) -> Taken:
    """Return a line taken apart; `tests` says whether it may be ``IF [..] THEN #n=..``."""
    try:
        if len(line) > limit:
            raise Refused("line too long")
        code = _bare(line, semicolons)
        deletable = code.startswith("/")
        code = code[1:] if deletable else code
        reader = _Reader(code, expressions)
        found = _IF.fullmatch(_NUMBERED.sub("", code))
        if found and tests:
            condition = _Reader(found[1], expressions).value()
            settings = _Reader(found[2], expressions).line()
            if settings.words or len(settings.settings) != 1:
                raise Refused("more than one setting after THEN")
            return Taken((), settings.settings, condition, deletable)
        read = reader.line()
        return Taken(read.words, read.settings, None, deletable)
    except Refused as error:
        return Taken(fault=str(error))


def _bare(line: str, semicolons: bool) -> str:
    """Return the line in capitals without comments and white space."""
    out, at = [], 0
    while at < len(line):
        sign = line[at]
        if sign == "(":
            close = line.find(")", at)
            if close < 0 or "(" in line[at + 1 : close]:
                raise Refused("a comment that is not closed, or one in another")
            at = close
        elif sign == ";" and semicolons:
            break
        elif not sign.isspace():
            out.append(sign)
        at += 1
    return "".join(out).upper()


class _Reader:
    def __init__(self, code: str, expressions: bool) -> None:
        self.code, self.at, self.expressions = code, 0, expressions

    def line(self) -> Taken:
        words, settings = [], []
        number = _NUMBERED.match(self.code)
        if number:
            self.at = number.end()
        while self.at < len(self.code):
            letter = self.code[self.at]
            if letter == "#":
                settings.append(self._setting())
                continue
            if not "A" <= letter <= "Z" or letter in "NO":
                raise Refused(f"{letter} can't stand here")
            self.at += 1
            words.append((letter, self.value()))
        return Taken(tuple(words), tuple(settings))

    def _setting(self) -> tuple[Value, Value]:
        if not self.expressions:
            raise Refused("no parameters here")
        self.at += 1
        number = self.value()
        if self.code[self.at : self.at + 1] != "=":
            raise Refused("a parameter without a value")
        self.at += 1
        return number, self.value()

    def value(self) -> Value:
        found = _NUMBER.match(self.code, self.at)
        if found:
            self.at = found.end()
            constant = float(found.group())
            return lambda _: constant
        if not self.expressions:
            raise Refused("a word without a number")
        sign = self.code[self.at : self.at + 1]
        if sign in ("-", "+"):
            self.at += 1
            inner = self.value()
            return (lambda p: -inner(p)) if sign == "-" else inner
        if sign == "#":
            self.at += 1
            which = self.value()
            return lambda p: p(round(which(p)))
        if sign == "[":
            self.at += 1
            inside = self._level(0)
            if self.code[self.at : self.at + 1] != "]":
                raise Refused("a bracket that is not closed")
            self.at += 1
            return inside
        return self._function()

    def _function(self) -> Value:
        name = next((n for n in (*_ONE, *_TWO) if self.code.startswith(n + "[", self.at)), None)
        if name is None:
            raise Refused("a word without a number")
        self.at += len(name)
        inside = self.value()
        if name in _TWO:
            if self.code[self.at : self.at + 1] != "/":
                raise Refused("ATAN takes two values")
            self.at += 1
            other = self.value()
            return lambda p: math.degrees(math.atan2(inside(p), other(p)))
        work = _ONE[name]
        return lambda p: work(inside(p))

    def _level(self, level: int) -> Value:
        if level == len(_LEVELS):
            return self.value()
        left = self._level(level + 1)
        while True:
            name = next((n for n in _LEVELS[level] if self._is(n)), None)
            if name is None:
                return left
            self.at += len(name)
            left = _joined(_LEVELS[level][name], left, self._level(level + 1))

    def _is(self, name: str) -> bool:
        if name == "*" and self.code.startswith("**", self.at):
            return False
        return self.code.startswith(name, self.at)


def _joined(work: Callable[[float, float], float], left: Value, right: Value) -> Value:
    return lambda p: work(left(p), right(p))


def worked_out(value: Value, parameters: Parameters) -> float:
    """Return a value, refused where it can't be worked out (the root of a negative number is an error)."""
    try:
        out = value(parameters)
    except (ValueError, ZeroDivisionError, OverflowError) as error:
        raise Refused(f"can't be worked out: {error}") from None
    if not isinstance(out, int | float) or not math.isfinite(out):
        raise Refused("no number comes out")
    return float(out)
