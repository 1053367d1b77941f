"""The heading: what anyone needs to repeat the proof of a program, as key and value pairs in its comments.

One pair is ``(proof: key = value)``; a long value goes on in ``(proof: key + value)``. Characters that comments
can't hold are written as a backslash and the two hexadecimal digits of each UTF-8 byte.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from kerfproof.gcode.words import COMMENT_LENGTH, plain

_LINE = re.compile(r"^\s*proof:\s*(?P<key>[A-Za-z0-9_.-]+) (?P<sign>[=+]) ?(?P<value>.*)$")
_KEY = re.compile(r"^[A-Za-z0-9_.-]{1,30}$")
_ESCAPED = re.compile(r"\\([0-9A-Fa-f]{2})")


def heading_lines(pairs: Iterable[tuple[str, str]]) -> list[str]:
    """Return the pairs as comment lines, values of any length and alphabet.

    Raises
    ------
    ValueError
        If a key is not 1 to 30 letters, digits, dots, dashes and underscores.
    """
    lines = []
    for key, value in pairs:
        if not _KEY.match(key):
            raise ValueError(f"a heading key is letters, digits, dots and dashes, not {key!r}")
        room = COMMENT_LENGTH - len(f"(proof: {key} = )")
        for count, chunk in enumerate(_chunks(value, room)):
            lines.append(f"(proof: {key} {'+' if count else '='} {chunk})")
    return lines


def read_heading(comments: Iterable[str]) -> dict[str, str]:
    """Return the pairs found in comments (texts with or without their parentheses), in order of appearance.

    Other comments are passed over; of a key that comes twice the first value counts.
    """
    raw: dict[str, str] = {}
    closed: set[str] = set()
    last = ""
    for text in comments:
        found = _LINE.match(text.removeprefix("(").removesuffix(")"))
        if found is None:
            continue
        key, sign, value = found["key"], found["sign"], found["value"]
        if sign == "=":
            closed.add(last)
            last = key
            raw.setdefault(key, value)
        elif key == last and key not in closed:
            raw[key] += value
    return {key: _unescape(value) for key, value in raw.items()}


def _chunks(value: str, room: int) -> list[str]:
    """Return the escaped value in pieces of at most `room` characters; none begins or ends in a plain space."""
    chunks, now = [], ""
    for before, char, after in zip(" " + value, value, value[1:] + " ", strict=False):
        # A space that a reader might trim or merge is escaped.
        word = "\\20" if char == " " and " " in (before, after) else _escape(char)
        if len(now) + len(word) > room:
            held = now.endswith(" ")
            chunks.append(now.removesuffix(" "))
            now = "\\20" if held else ""
            word = "\\20" if word == " " else word
        now += word
    return [*chunks, now]


def _escape(char: str) -> str:
    if char == " " or (char != "\\" and char.isascii() and plain(char) == char):
        return char
    return "".join(f"\\{byte:02X}" for byte in char.encode("utf-8", "surrogatepass"))


def _unescape(text: str) -> str:
    raw = _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)
    return raw.encode("latin-1", "replace").decode("utf-8", "replace")
