"""Small helps with words that are to be translated."""

from __future__ import annotations

import re

from PySide6.QtCore import QCoreApplication

from kerfproof.sentence import Phrase, Sentence, named
from kerfproof.units import format_length

_SIZE = re.compile(r"(.*?)(\d+(?:\.\d+)?) x (\d+(?:\.\d+)?)")
"""A label that ends with a size in mm."""


def tr(text: str) -> str:
    """Return a text in the person's language, for what is no method of a widget. Extraction finds its calls by name."""
    return QCoreApplication.translate("", text)


def translated(phrase: Phrase) -> Phrase:
    """Return a sentence of the core in the person's language, its values as they are."""
    return tr(phrase) if isinstance(phrase, str) else Sentence(tr(phrase.template), phrase.pairs)


def plural(number: int, one: str, many: str) -> str:
    """Return the words for one thing, or those for many with their ``{n}`` filled in."""
    return one if number == 1 else many.replace("{n}", str(number))


def feature_words(kind: str, text: str, diameter: float | None, inches: bool) -> str:
    """Return the label of a feature in the unit shown."""
    sized = _SIZE.fullmatch(text)
    if sized is not None:
        wide, high = (format_length(float(sized[k]), inches, 2 + inches) for k in (2, 3))
        return f"{sized[1]}{wide.partition(' ')[0]} x {high}"
    head, _, _size = text.rpartition(" D") if diameter is not None else (text, "", "")
    if diameter is None or not head:
        return named(text).told(inches)
    return f"{head} ⌀ {format_length(diameter, inches, 2 + inches)}"
