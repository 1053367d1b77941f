"""Numbers, parameters and expressions of the language (NISTIR 6556, 3.3.2)."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from kerfproof.sentence import Phrase

NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
NEAR_INTEGER = 1e-4
"""A value this near to an integer counts as one (NISTIR 6556, 3.3.2.1)."""
LAST_PARAMETER = 5399
DEEPEST = 40
"""Brackets inside brackets beyond this are refused: no line of an honest program comes near."""


class Misread(Exception):
    """Text that the language does not allow. `at` is an index into the line without spaces, or a word's letter.

    `column` (from 1) is given instead where the place lies in what is left out, such as a comment. `halts` is true
    where the control finds out only while running (a root of a negative number): it stops there.
    """

    def __init__(self, told: Phrase, at: int | str = 0, *, halts: bool = False, column: int = 0) -> None:
        super().__init__(str(told))
        self.told, self.at, self.halts, self.column = told, at, halts, column

    @property
    def reason(self) -> str:
        """Why, lengths in mm."""
        return str(self.told)


ORIGINS = range(5161, 5391)
"""Parameters that hold homes, G92 offsets and work offsets (NISTIR 6556, 3.2.1)."""


class Parameters:
    """The numbered parameters of the control, all kept from earlier programs until this one sets them."""

    def __init__(self, known: Mapping[int, float]) -> None:
        self.values = dict(known)
        self.stale: list[int] = []
        """Parameters that were read although this program had not set them; their value here is 0."""

    def read(self, number: int) -> float:
        """Return the value of ``#number``."""
        if number not in self.values:
            self.values[number] = 0.0
            self.stale.append(number)
        return self.values[number]


Term = Callable[[Parameters], float]
Value = float | Term
"""A plain number, or what must be worked out with the parameters of the moment."""


def evaluate(value: Value, parameters: Parameters) -> float:
    """Return the number that `value` stands for now."""
    return value if isinstance(value, float) else value(parameters)


def read_value(code: str, at: int, depth: int = 0) -> tuple[Value, int]:
    """Return the real value at index `at` of a line without spaces in capitals, and the index after it.

    Raises
    ------
    Misread
        If there is no value.
    """
    match = NUMBER.match(code, at)
    if match:
        return plain_value(match.group(), at), match.end()
    if code.startswith("#", at):
        return _read_parameter(code, at, depth)
    if code.startswith("[", at):
        return _read_brackets(code, at, depth)
    match = _FUNCTION.match(code, at)
    if match:
        return _read_function(match.group(1), code, at, match.end() - 1, depth)
    raise Misread(f"a number is missing after {code[at - 1]}" if at else "a number is missing", at)


def read_expression(code: str, at: int, depth: int = 0) -> tuple[Value, int]:
    """Return a chain of values and operators, and the index of the first character that does not belong to it."""
    value, at = read_value(code, at, depth)
    values: list[Value] = [value]
    operators: list[tuple[str, int]] = []
    while True:
        match = _OPERATOR.match(code, at)
        if not match:
            break
        operators.append((match.group(), at))
        value, at = read_value(code, match.end(), depth)
        values.append(value)
    return (_chain(values, operators) if operators else value), at


def _chain(values: list[Value], operators: list[tuple[str, int]]) -> Term:
    """Return the result of a chain: each level of operators in turn, from left to right."""
    steps, left = [], list(range(len(values)))
    for level in _LEVELS:
        behind = [left[0]]
        for k, (name, at) in zip(left[1:], [operators[k - 1] for k in left[1:]], strict=True):
            if name in level:
                steps.append((_OPERATIONS[name], behind[-1], k, name, at))
            else:
                behind.append(k)
        left = behind

    def work_out(parameters: Parameters) -> float:
        got = [value if isinstance(value, float) else value(parameters) for value in values]
        for work, first, second, name, at in steps:
            got[first] = _checked(work, (got[first], got[second]), name, at)
        return got[0]

    return work_out


def parameter_number(value: float, at: int) -> int:
    """Return the number of a parameter as an integer from 1 to 5399."""
    number = round(value)
    if abs(value - number) > NEAR_INTEGER or not 1 <= number <= LAST_PARAMETER:
        raise Misread(f"there is no parameter #{value:g}: parameters are #1 to #{LAST_PARAMETER}", at)
    return number


def plain_value(text: str, at: int) -> float:
    """Return a number as written, at index `at` of its line.

    Raises
    ------
    Misread
        If no float is that large.
    """
    value = float(text)
    if not math.isfinite(value):
        raise Misread("the number is too large", at)
    return value


def _read_parameter(code: str, at: int, depth: int) -> tuple[Value, int]:
    first = at
    while code.startswith("#", at):
        at += 1
    levels = at - first
    if code.startswith("<", at):
        raise Misread("parameters with names are not in the language", first)
    inner, after = read_value(code, at, depth)
    if levels == 1 and isinstance(inner, float) and inner.is_integer() and 1 <= inner <= LAST_PARAMETER:
        number = int(inner)
        return lambda p: p.read(number), after

    def look_up(parameters: Parameters) -> float:
        value = evaluate(inner, parameters)
        for _ in range(levels):
            value = parameters.read(parameter_number(value, first))
        return value

    return look_up, after


def _read_brackets(code: str, at: int, depth: int) -> tuple[Value, int]:
    if depth >= DEEPEST:
        raise Misread(f"more than {DEEPEST} brackets inside each other", at)
    value, after = read_expression(code, at + 1, depth + 1)
    if not code.startswith("]", after):
        raise Misread("a closing ] is missing here", after)
    return value, after + 1


def _read_function(name: str, code: str, at: int, bracket: int, depth: int) -> tuple[Value, int]:
    inner, after = _read_brackets(code, bracket, depth)
    if name == "ATAN":
        if not code.startswith("/[", after):
            raise Misread("ATAN needs two values: ATAN[..]/[..]", after)
        below, after = _read_brackets(code, after + 1, depth)
        return lambda p: math.degrees(math.atan2(evaluate(inner, p), evaluate(below, p))), after
    work = _FUNCTIONS[name]
    return lambda p: _checked(work, (evaluate(inner, p),), name, at), after


def _checked(work: Callable[..., float], values: tuple[float, ...], name: str, at: int) -> float:
    try:
        result = work(*values)
    except (ValueError, ZeroDivisionError):
        raise Misread(f"{name} has no result for {', '.join(f'{v:g}' for v in values)}", at, halts=True) from None
    except OverflowError:
        result = math.inf
    if not math.isfinite(result):
        raise Misread(f"{name} gives too large a number", at, halts=True)
    return result


def _power(a: float, b: float) -> float:
    if a < 0 and b != round(b):
        raise ValueError
    return float(a**b)


def _modulo(a: float, b: float) -> float:
    rest = math.fmod(a, b)
    return rest + abs(b) if rest < 0 else rest


def _round(a: float) -> float:
    return float(math.floor(abs(a) + 0.5)) * (-1.0 if a < 0 else 1.0)


_OPERATIONS: dict[str, Callable[[float, float], float]] = {
    "**": _power,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "MOD": _modulo,
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "OR": lambda a, b: float(a != 0 or b != 0),
    "XOR": lambda a, b: float((a != 0) != (b != 0)),
    "AND": lambda a, b: float(a != 0 and b != 0),
}
_LEVELS = (frozenset({"**"}), frozenset({"*", "/", "MOD"}), frozenset({"+", "-", "OR", "XOR", "AND"}))
_OPERATOR = re.compile(r"\*\*|\*|/|MOD|\+|-|OR|XOR|AND")

_FUNCTIONS: dict[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda a: math.degrees(math.acos(a)),
    "ASIN": lambda a: math.degrees(math.asin(a)),
    "COS": lambda a: math.cos(math.radians(a)),
    "EXP": math.exp,
    "FIX": lambda a: float(math.floor(a)),
    "FUP": lambda a: float(math.ceil(a)),
    "LN": math.log,
    "ROUND": _round,
    "SIN": lambda a: math.sin(math.radians(a)),
    "SQRT": math.sqrt,
    "TAN": lambda a: math.tan(math.radians(a)),
}
_FUNCTION = re.compile(rf"({'|'.join([*_FUNCTIONS, 'ATAN'])})\[")
