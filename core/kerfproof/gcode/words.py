"""Words of a program: numbers in the program's unit, and comments that no control trips over."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from kerfproof.geom.path import Ints

INCH = 25.4
"""mm in an inch."""

COMMENT_LENGTH = 80
"""Longest comment in characters, parentheses included; small controllers buffer lines of 80."""

# Parentheses end or nest a comment and a semicolon begins one. The rest acts at once on some controls even inside
# a comment (from memory): feed hold, resume, state, settings, tape end.
_UNSAFE = str.maketrans({**dict.fromkeys("()!~?$%", " "), ";": ","})
_SPELLED = str.maketrans(
    {
        "ß": "ss", "Æ": "AE", "æ": "ae", "Ø": "D", "ø": "o", "⌀": "D", "Œ": "OE", "œ": "oe", "Ł": "L", "ł": "l",
        "Đ": "D", "đ": "d", "×": "x", "·": ".", "–": "-", "—": "-", "µ": "u", "μ": "u", "°": " deg ", "±": "+-",
        "“": '"', "”": '"', "„": '"', "\u2018": "'", "\u2019": "'",
    }
)  # fmt: skip
# Comments that begin so are commands on some controls; only `message` writes one.
_ACTIVE = re.compile(r"^(MSG|DEBUG|PRINT|LOG\w*|PROBE\w*|PY|ABORT)\s*,", re.IGNORECASE)


def number(value: float, decimals: int) -> str:
    """Return `value` rounded to `decimals` places, without trailing zeros, exponent or a zero with a minus."""
    return whole(round(value * 10**decimals), decimals)


def whole(steps: int, decimals: int) -> str:
    """Return `steps` units of the last of `decimals` places as a number (12500 with 4 places is ``1.25``)."""
    if decimals == 0:
        return str(steps)
    return f"{steps / 10**decimals:.{decimals}f}".rstrip("0").rstrip(".")


def whole_numbers(steps: Ints, decimals: int) -> list[str]:
    """Return `whole` of many numbers."""
    if decimals == 0:
        return [str(value) for value in steps.tolist()]
    form = f"%.{decimals}f " * len(steps)
    texts = (form % tuple((steps / 10**decimals).tolist())).split()
    return [text.rstrip("0").rstrip(".") if text[-1] == "0" else text for text in texts]


def plain(text: str) -> str:
    """Return `text` in ASCII, fit for a comment: one line, no parentheses, nothing that a control acts on."""
    ascii_only = text if text.isascii() and text.isprintable() else _in_ascii(text)
    return " ".join(ascii_only.translate(_UNSAFE).split()).replace(" ,", ",")


def _in_ascii(text: str) -> str:
    spelled = unicodedata.normalize("NFKD", text.translate(_SPELLED))
    letters = (c for c in spelled if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "\x7e" else " " if c.isspace() else "_" for c in letters)


def comment(text: str) -> str:
    """Return `text` as one comment of at most `COMMENT_LENGTH` characters; see `plain`."""
    passive = _ACTIVE.sub(r"\1", plain(text))
    return f"({passive[: COMMENT_LENGTH - 2].rstrip()})"


def message(text: str) -> str:
    """Return `text` as a message to the operator's display (NISTIR 6556, 3.3.4)."""
    return f"(MSG, {plain(text)[: COMMENT_LENGTH - 7].rstrip()})"


@dataclass(frozen=True, slots=True)
class NumberFormat:
    """Numbers as one program writes them. All input is mm, mm/min and s."""

    inches: bool
    decimals: int
    dwell_in_ms: bool = False

    @property
    def unit(self) -> float:
        """Mm in one program unit."""
        return INCH if self.inches else 1.0

    @property
    def steps_per_mm(self) -> float:
        """How many units of the last decimal place go into a mm."""
        return float(10**self.decimals) / self.unit

    def length(self, mm: float) -> str:
        """Return a length or coordinate in program units."""
        return number(mm / self.unit, self.decimals)

    def feed(self, mm_min: float) -> str:
        """Return an F word; three places in inches keep slow feeds within a tenth of a percent."""
        return "F" + number(mm_min / self.unit, 3 if self.inches else 1)

    def dwell(self, seconds: float) -> list[str]:
        """Return the line that waits, none where the time rounds to nothing."""
        text = number(seconds * 1000.0, 0) if self.dwell_in_ms else number(seconds, 3)
        return [f"G4 P{text}"] if text != "0" else []

    def size(self, *mm: float) -> str:
        """Return one or more lengths for a comment, in program units and mm (``0.75 in = 19.05 mm``)."""
        metric = " x ".join(number(value, 3) for value in mm) + " mm"
        if not self.inches:
            return metric
        return " x ".join(number(value / INCH, 4) for value in mm) + " in = " + metric

    def pace(self, mm_min: float) -> str:
        """Return a feed for a comment, in program units and mm/min."""
        metric = f"{number(mm_min, 1)} mm/min"
        return f"{number(mm_min / INCH, 2)} in/min = {metric}" if self.inches else metric
