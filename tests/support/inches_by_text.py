"""Lengths in finished English turned into inches by their look: a second way to hold sentences against."""

from __future__ import annotations

import re
from math import ceil

_N = r"(?:\+-|[+-])?\d+(?:\.\d+)?(?:e[+-]?\d+)?"
_SPOT = rf"{_N},\ {_N}"
_UNITS = {"mm/min": (25.4, "in/min", -1), "mm/s2": (25.4, "in/s2", -1), "mm": (25.4, "in", 0), "um": (25400.0, "in", 0)}
"""Per unit: its share of an inch, what it becomes, and how many decimals fewer than a length has."""
_LENGTH = re.compile(
    rf"""
    --join\ (?P<gap>{_N})mm\b
    | (?P<own> "[^"]*" | --\S+ (?:\ {_N}\ ?(?:mm|in)\b)? | \blayer\ {_N}\ ?(?:mm|in)\b
        | {_N} (?:\ x\ {_N})? \ mm\ \([^()]*\ in\) | \ in\ \({_SPOT}(?:\ (?:to|and)\ {_SPOT})?\ mm\)\ of\ the\ drawing )
    | (?P<label> \b(?:[Oo]utline|[Hh]oles?(?:\ \d+)?)\ (?:D(?=\d)|(?=\S+\ x\ \d)) )
      (?P<size> {_N} (?:\ x\ {_N})? ) (?![\w.]|\ mm|\ in\b|\ x\ \d)
    | (?<![\w.]) (?: (?P<place> (?:at|by|from|near)\ ) (?P<spot> {_SPOT} (?:\ (?:to|and)\ {_SPOT})? )
        | (?P<sizes> {_N} (?:(?:\ x\ |\ to\ |\ and\ |-){_N})* ) )
      \ (?P<unit> mm/min|mm/s2|mm|um )
      (?P<drawn> \ of\ the\ drawing )? (?! [\w/] | \.\w | \ per\ min | [^,;:()"]*\w\.[a-z]\w{{0,3}}\b )
    """,
    re.VERBOSE,
)


def in_inches(text: str) -> str:
    """Return a sentence with all its lengths and feeds in inches, about as exact as they were in mm.

    >>> in_inches("the slot is 2.9 x 30 mm, the kerf 1.50 mm")
    'the slot is 0.114 x 1.18 in, the kerf 0.0591 in'
    """
    return _LENGTH.sub(_turned, text)


def _turned(match: re.Match[str]) -> str:
    if match["own"]:
        return match["own"]
    if match["gap"]:  # not a hair less, or the gap stays open
        return f"--join {ceil(float(match['gap']) / 25.4 * 1e4 - 1e-6) / 1e4:g}in"
    share, unit, fewer = _UNITS[match["unit"] or "mm"]
    numbers = match["size"] or match["spot"] or match["sizes"]
    turned = re.sub(_N, lambda found: _number(found[0], share, fewer), numbers)
    if match["drawn"]:
        turned, unit = f"{turned} {unit}", f"({numbers} mm){match['drawn']}"
    return f"{match['label'] or match['place'] or ''}{turned} {unit}"


def _number(text: str, share: float, fewer: int) -> str:
    """Return a number of mm as one of inches, with two decimals more than it had, as far as a shop can measure."""
    sign = text[: len(text) - len(text.lstrip("+-"))]
    digits = text[len(sign) :]
    value = float(digits) / share
    if value >= 1e12:
        return f"{sign}{value:g}"
    told = len(digits.partition("e")[0].partition(".")[2])
    most = 4 if value < 0.1 else 3 if value < 100 else 2
    decimals = min(max(told + 2, 3 if value < 10 else 2), most) + fewer
    while value and decimals < 9 and float(f"{value:.{decimals}f}") == 0:
        decimals += 1
    short = f"{value:.{decimals}f}"
    return sign + (short.rstrip("0").rstrip(".") if "." in short else short)
