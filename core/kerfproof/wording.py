"""Sentences in the unit of their reader. Inside, sentences say mm; at the edges `in_inches` says the same in inches.

What makes this safe is how sentences are written: every length has its unit right behind it (``3.2 mm``), or shares
it with its partner (``100 x 60 mm``, ``0.1 to 0.2 mm``, ``at 12.5, 40.2 mm``); labels of features (``hole 3 D8``,
``outline 100 x 60``) are in mm without saying so. Sizes that a person or a machine gave are written by
`units.exactly`: whole mm would make 48 in of 1219.2 mm 47.99. What stands in quotes, as an option or in the name of a
file is the person's own and stays, as do lengths that are told in inches already: a sentence turned twice is one turned
once. The gap to allow by ``--join`` is our advice and turned. A place of the
drawing is told in both units: most drawings are in mm, whatever the machine is in.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from math import ceil

from kerfproof.errors import KerfproofError
from kerfproof.sentence import Phrase

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


def said(phrase: Phrase, inches: bool) -> str:
    """Return a sentence in the unit of its reader."""
    if isinstance(phrase, str):
        return in_inches(phrase) if inches else phrase
    return phrase.told(inches)


@contextmanager
def refusals(inches: bool) -> Iterator[None]:
    """Let what can't be done here, and what to do about it, be told in the unit of its reader."""
    try:
        yield
    except KerfproofError as error:
        error.problem, error.remedy = said(error.problem, inches), said(error.remedy, inches)
        error.args = (error.what,)
        raise


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
