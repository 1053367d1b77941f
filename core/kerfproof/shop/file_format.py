"""The key ``format`` of every file of a shop: which keys, and what they mean, a file was written for."""

from __future__ import annotations

import re
from typing import Any

from kerfproof.errors import FileBroken

KEY = "format"
FORMAT = 1
LINE = f"{KEY} = {FORMAT}"
ABOUT = f"Which keys this file may hold. This Kerfproof reads {FORMAT}, also where the key is left out."


def without_format(tables: dict[str, Any], where: str) -> dict[str, Any]:
    """Return the tables of a file without its format; a file that does not say it is of this one.

    Raises
    ------
    FileBroken
        If a newer Kerfproof made it, or its format is none. Nothing else of it can then be judged.
    """
    number = tables.get(KEY, FORMAT)
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise FileBroken(f"{KEY}: must be {FORMAT}, without quotes", where=where, advice=f"write {LINE}")
    if number > FORMAT:
        what = f"{KEY}: made by a newer Kerfproof (format {number}, this one reads {FORMAT})"
        raise FileBroken(what, where=where, advice="update this Kerfproof")
    return {key: value for key, value in tables.items() if key != KEY}


def with_format(text: str) -> str:
    """Return a file's text with its format, on top where it did not say it."""
    return text if re.search(rf"^{KEY}[ \t]*=", text, re.MULTILINE) else f"{LINE}\n{text}"
