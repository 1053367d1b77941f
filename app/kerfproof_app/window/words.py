"""Small helps with words that are to be translated."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication


def tr(text: str) -> str:
    """Return a text in the person's language, for what is no method of a widget. Extraction finds its calls by name."""
    return QCoreApplication.translate("", text)


def plural(number: int, one: str, many: str) -> str:
    """Return the words for one thing, or those for many with their ``{n}`` filled in."""
    return one if number == 1 else many.replace("{n}", str(number))


def numbers(found: Sequence[int]) -> str:
    """Return rising numbers as ranges: ``1-16, 18``; a dash for none."""
    runs: list[list[int]] = []
    for number in found:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in runs) or "–"
