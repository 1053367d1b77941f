"""Compare-and-stop lines of a control, found by the templates of its dialect."""

from __future__ import annotations

import re
from typing import NamedTuple

from kerfproof.gcode.dialect import Dialect, Guard
from kerfproof.gcode.reader.expression import Misread, Parameters, Value, evaluate, read_expression
from kerfproof.gcode.reader.lexer import canonical, scan


class Pattern(NamedTuple):
    """A template as a pattern of lines without spaces, and whether it stops below its limit or above."""

    pattern: re.Pattern[str]
    below: bool


class Comparison(NamedTuple):
    """A line that stops the control when `value` is below (or above) `limit`."""

    value: Value
    limit: Value
    below: bool

    def stops(self, parameters: Parameters) -> str:
        """Return why the control stops now, empty if it goes on."""
        value, limit = evaluate(self.value, parameters), evaluate(self.limit, parameters)
        if value < limit if self.below else value > limit:
            return f"the program's own guard: {value:.4g} is {'below' if self.below else 'above'} {limit:.4g}"
        return ""


def guard_patterns(dialect: Dialect) -> tuple[Pattern, ...]:
    """Return the patterns of the dialect's guard lines, none if it has no compare guard."""
    if dialect.guard is not Guard.COMPARE:
        return ()
    templates = ((dialect.guard_below, True), (dialect.guard_above, False))
    return tuple(
        Pattern(re.compile(_pattern(template, dialect.semicolon_comments)), below)
        for template, below in templates
        if "{value}" in template and "{limit}" in template
    )


def find_guard(code: str, patterns: tuple[Pattern, ...]) -> Comparison | None:
    """Return the comparison of a line without spaces, None if it is no guard line."""
    code = canonical(code) if patterns else code
    for pattern, below in patterns:
        match = pattern.fullmatch(code)
        if match:
            value, limit = _expression(match["value"]), _expression(match["limit"])
            if value is not None and limit is not None:
                return Comparison(value, limit, below)
    return None


def _pattern(template: str, semicolons: bool) -> str:
    code = canonical(scan(template, semicolons).code)
    pieces, named = [], set()
    # Braces are no letters, so capitals made {value} into {VALUE}.
    for piece in re.split(r"(\{VALUE\}|\{LIMIT\})", code):
        name = piece.strip("{}").lower()
        if piece not in ("{VALUE}", "{LIMIT}"):
            pieces.append(re.escape(piece))
        elif name in named:
            pieces.append(f"(?P={name})")
        else:
            named.add(name)
            pieces.append(f"(?P<{name}>.+?)")
    return "".join(pieces)


def _expression(text: str) -> Value | None:
    try:
        value, end = read_expression(text, 0)
    except Misread:
        return None
    return value if end == len(text) else None
