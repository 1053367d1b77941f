"""Quantities as people write them, turned into the numbers used inside and back. Used at the edges only.

Inside: mm, mm/min, s, mm/s2, A, degrees, percent, mm2. Outside: ``"0.75 in"``, ``"1-1/2 in"``, ``"120 in/min"``.
Over 300 lines because reading and writing a quantity must be each other's inverse, down to one table of units.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from kerfproof.box import Box
from kerfproof.errors import KerfproofError
from kerfproof.sentence import decimal

_INCH = Fraction(254, 10)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity: its units with their size in the inner unit, and the units that examples show."""

    name: str
    units: Mapping[str, Fraction]
    samples: tuple[str, ...]

    @property
    def unit(self) -> str:
        """The inner unit."""
        return next(unit for unit in self.samples if self.units[_plain(unit)] == 1)


def _per(lengths: Mapping[str, Fraction], times: Mapping[str, Fraction]) -> dict[str, Fraction]:
    return {f"{length}/{time}": size * share for length, size in lengths.items() for time, share in times.items()}


_LENGTHS = {
    "mm": Fraction(1),
    "in": _INCH,
    "cm": Fraction(10),
    "m": Fraction(1000),
    "um": Fraction(1, 1000),
    "ft": 12 * _INCH,
    "thou": _INCH / 1000,
}
_ALIASES = {"inch": "in", "inches": "in", '"': "in", "'": "ft", "foot": "ft", "feet": "ft"}
_LENGTHS |= {alias: _LENGTHS[unit] for alias, unit in _ALIASES.items()}
_MINUTES = {"min": Fraction(1), "minute": Fraction(1), "s": Fraction(60), "sec": Fraction(60)}
_SECONDS = {"s": Fraction(1), "sec": Fraction(1), "second": Fraction(1), "seconds": Fraction(1)}

LENGTH = Kind("length", _LENGTHS, ("in", "mm"))
FEED = Kind("feed", _per(_LENGTHS, _MINUTES) | {"ipm": _INCH, "ips": 60 * _INCH}, ("in/min", "mm/min"))
TIME = Kind("time", _SECONDS | {"ms": Fraction(1, 1000), "min": Fraction(60), "minute": Fraction(60)}, ("s", "ms"))
ACCELERATION = Kind("acceleration", _per(_LENGTHS, {"s2": Fraction(1)}), ("mm/s2", "in/s2"))
CURRENT = Kind("current", dict.fromkeys(("a", "amp", "amps", "ampere"), Fraction(1)), ("A",))
ANGLE = Kind("angle", dict.fromkeys(("deg", "°", "degree", "degrees"), Fraction(1)), ("deg",))
PERCENT = Kind("percentage", dict.fromkeys(("%", "percent"), Fraction(1)), ("%",))
FLOW = Kind(
    "flow",
    {"l/min": Fraction(1), "cfm": Fraction(28316846592, 10**9), "scfm": Fraction(28316846592, 10**9)},
    ("cfm", "l/min"),
)
PRESSURE = Kind(
    "pressure", {"bar": Fraction(1), "psi": Fraction(6894757293168, 10**14), "kpa": Fraction(1, 100)}, ("psi", "bar")
)
VOLUME = Kind(
    "volume",
    {"l": Fraction(1), "liter": Fraction(1), "litre": Fraction(1), "gal": Fraction(3785411784, 10**9)},
    ("gal", "l"),
)
AREA = Kind("area", {"mm2": Fraction(1), "cm2": Fraction(100), "in2": _INCH * _INCH}, ("mm2", "in2"))

_NUMBER = re.compile(
    r"""\s*(?P<sign>[+-]?)\s*(?:
        (?P<whole>\d+)(?:\s*-\s*|\s+)(?P<top>\d+)\s*/\s*(?P<bottom>\d+)  # 1-1/2, 1 1/2
        | (?P<over>\d+)\s*/\s*(?P<under>\d+)                             # 3/4
        | (?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)          # 0.75
    )(?P<unit>(?![\d.,]).*)""",
    re.VERBOSE,
)
_SIGNS = str.maketrans({"″": '"', "”": '"', "′": "'", "’": "'", "²": "2", "µ": "u", "μ": "u", "–": "-", "⁄": "/"})  # noqa: RUF001
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_LONGEST = 60


def parse(text: str, kind: Kind, default: str | None = None) -> float:
    """Return the quantity in the inner unit of its `kind`; a bare number is taken in the unit `default`.

    Raises
    ------
    KerfproofError
        If `text` is no number with a unit of this kind; the sentence says what to write instead.
    """
    amount, unit = _split(text, kind)
    if not unit:
        if default is None:
            raise KerfproofError(needs_unit(text.strip(), kind))
        unit = default
    size = kind.units.get(_plain(unit))
    if size is None:
        number = decimal(float(amount), 4) if abs(amount) < 10**9 else "1"
        raise KerfproofError(f"{_shown(text)} has no unit of {kind.name}, {_example(number, kind)}")
    try:
        return float(amount * size)
    except OverflowError:
        raise KerfproofError(f"{_shown(text)} is too large") from None


def parse_length(text: str, default: str | None = None) -> float:
    """Return a length in mm.

    >>> parse_length("1-1/2 in")
    38.1
    """
    return parse(text, LENGTH, default)


def parse_feed(text: str, default: str | None = None) -> float:
    """Return a feed in mm/min.

    >>> parse_feed("120 in/min")
    3048.0
    """
    return parse(text, FEED, default)


def parse_time(text: str, default: str | None = None) -> float:
    """Return a time in s."""
    return parse(text, TIME, default)


def parse_current(text: str, default: str | None = None) -> float:
    """Return a current in A."""
    return parse(text, CURRENT, default)


def parse_angle(text: str, default: str | None = None) -> float:
    """Return an angle in degrees."""
    return parse(text, ANGLE, default)


def parse_size(text: str) -> tuple[float, float]:
    """Return width and height of a plate in mm; a unit behind the second number holds for both.

    >>> parse_size("1200x600 mm")
    (1200.0, 600.0)

    Raises
    ------
    KerfproofError
        If `text` is not two lengths above zero with an ``x`` between them.
    """
    sides = re.split(r"\s*[x×*]\s*", text.strip().lower())
    if len(sides) != 2:
        raise KerfproofError(f'{_shown(text)} is no size, write for example "1200x600 mm" or "48x24 in"')
    if not all(re.match(r"[+\-.]?\d|\.\d", side) for side in sides):
        raise KerfproofError(f'a number is missing in {_shown(text)}, write for example "1200x600 mm" or "48x24 in"')
    unit = _split(sides[1], LENGTH)[1] or None
    width, height = parse_length(sides[0], unit), parse_length(sides[1])
    if width <= 0 or height <= 0:
        raise KerfproofError(f"{_shown(text)} is no size, both sides must be more than 0")
    return width, height


def parse_box(text: str) -> Box:
    """Return a box in mm from two opposite corners; a unit behind the last number holds for all.

    >>> parse_box("200,100,0,0 mm")
    (0.0, 0.0, 200.0, 100.0)

    Raises
    ------
    KerfproofError
        If `text` is not four lengths, or the box has no size.
    """
    parts = text.split(",")
    if len(parts) != 4:
        raise KerfproofError(f"{_shown(text)} is no box", advice='write for example "0,0,200,100 mm"')
    unit = _split(parts[3], LENGTH)[1] or None
    x0, y0, x1, y1 = (parse_length(part, unit) for part in parts)
    if x0 == x1 or y0 == y1:
        raise KerfproofError(f"{_shown(text)} is a box without a size", advice="two opposite corners")
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def format_length(mm: float, inches: bool = False, decimals: int | None = None) -> str:
    """Return a length for people: at most 3 decimals of mm or 4 of inches, or `decimals`; no trailing zeros.

    >>> format_length(19.05, inches=True)
    '0.75 in'
    """
    if inches:
        return f"{decimal(mm / 25.4, 4 if decimals is None else decimals)} in"
    return f"{decimal(mm, 3 if decimals is None else decimals)} mm"


def exactly(mm: float) -> str:
    """Return the number of a length in a sentence in mm, exact enough that in inches 48 in read 48 in.

    >>> exactly(1219.2)
    '1219.2'
    """
    return decimal(mm, 2)


def format_feed(mm_min: float, inches: bool = False) -> str:
    """Return a feed for people, whole mm/min or tenths of in/min."""
    return f"{decimal(mm_min / 25.4, 1)} in/min" if inches else f"{decimal(mm_min, 0)} mm/min"


def format_time(seconds: float) -> str:
    """Return a time for people: hundredths of a second, from a minute on minutes and seconds.

    >>> format_time(754.2)
    '12 min 34 s'
    """
    whole = round(seconds)
    return f"{decimal(seconds, 2)} s" if seconds < 60 else f"{whole // 60} min {whole % 60} s"


def format_size(width: float, height: float, inches: bool = False) -> str:
    """Return the size of a plate for people, as `parse_size` reads it."""
    scale, unit, decimals = (25.4, "in", 3) if inches else (1.0, "mm", 2)
    return f"{decimal(width / scale, decimals)}x{decimal(height / scale, decimals)} {unit}"


def spell(value: float, kind: Kind, unit: str = "") -> str:
    """Return the shortest text in `unit` that `parse` reads back as exactly `value`.

    If `unit` can't say the value in 12 decimals, the text is in the inner unit of the kind.

    >>> spell(19.05, LENGTH, "in")
    '0.75 in'
    """
    for wanted in (unit or kind.samples[0], kind.unit):
        for decimals in range(13):
            text = f"{decimal(value / float(kind.units[_plain(wanted)]), decimals)} {wanted}"
            if parse(text, kind) == value:
                return text
    return f"{value!r} {kind.unit}"


def unit_of(text: str, kind: Kind) -> str:
    """Return the unit written in `text`, empty if it has none that is known."""
    try:
        unit = _split(text, kind)[1]
    except KerfproofError:
        return ""
    return unit if _plain(unit) in kind.units else ""


def needs_unit(number: object, kind: Kind) -> str:
    """Return the sentence that a bare `number` needs a unit, with examples; no feed is none."""
    shown = "1" if kind is FEED and not str(number).strip("+-0.") else str(number)
    return f"{number} needs a unit, {_example(shown, kind)}"


def _example(number: str, kind: Kind) -> str:
    return "for example " + " or ".join(f'"{number} {unit}"' for unit in kind.samples)


def _split(text: str, kind: Kind) -> tuple[Fraction, str]:
    """Return the number and the unit as written."""
    tidy = _tidied(text)
    match = _NUMBER.fullmatch(tidy) if len(tidy) <= _LONGEST else None
    if match is None:
        comma = ", write a point for decimals" if re.search(r"\d,\d", tidy) else f", {_example('1', kind)}"
        raise KerfproofError(f"{_shown(text)} is no {kind.name}{comma}")
    part = match.groupdict()
    try:
        if part["decimal"]:
            amount = Fraction(part["decimal"])
        elif part["over"]:
            amount = Fraction(int(part["over"]), int(part["under"]))
        else:
            amount = int(part["whole"]) + Fraction(int(part["top"]), int(part["bottom"]))
    except ZeroDivisionError:
        raise KerfproofError(f"{_shown(text)} divides by zero") from None
    return (-amount if part["sign"] == "-" else amount), part["unit"].strip()


def _tidied(text: str) -> str:
    """Return the text with printers' signs replaced by those of a keyboard."""
    if text.isascii():
        return text.strip()
    for sign, fraction in _VULGAR.items():
        text = re.sub(rf"(?<=\d)\s*{sign}", f" {fraction}", text).replace(sign, fraction)
    return text.translate(_SIGNS).strip()


def _plain(unit: str) -> str:
    """Return a unit as the tables spell it."""
    return re.sub(r"\s*/\s*", "/", unit.lower()).replace("^", "").rstrip(".")


def _shown(text: str) -> str:
    """Return a text for a sentence: on one line, in quotes, not too long."""
    return f'"{" ".join(text.split())[:_LONGEST]}"'
