"""Small helps with words that are to be translated."""

from __future__ import annotations


def plural(number: int, one: str, many: str) -> str:
    """Return the words for one thing, or those for many with their ``{n}`` filled in."""
    return one if number == 1 else many.replace("{n}", str(number))
