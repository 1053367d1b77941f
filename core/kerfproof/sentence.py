"""Sentences as data: a template and its values, told in the unit of their reader.

Inside everything is mm. A sentence keeps its lengths, places and feeds as values (`mm`, `mm_size`, `mm_at`, ...) and
becomes text only when it is told: `str` of it is the text in mm, ``told(inches=True)`` the one in inches, about as
exact. A plain text is a sentence without lengths. Numbers in inches come from the number that is shown in mm, so that
both readers are told the same. Values and sentences hold each other, so they stand in one file.

>>> sentence = say("the slot is {width} wide", width=mm(2.9))
>>> str(sentence), sentence.told(inches=True)
('the slot is 2.9 mm wide', 'the slot is 0.114 in wide')
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil
from string import Formatter
from typing import Any

HUGE = 1e12
"""Numbers from here on are told by their power of ten."""
_PER_INCH = {
    "mm/min": (25.4, "in/min", -1),
    "mm/s2": (25.4, "in/s2", -1),
    "mm": (25.4, "in", 0),
    "um": (25400.0, "in", 0),
}
"""Per unit: its share of an inch, what it becomes, and how many decimals fewer than a length has."""


@dataclass(frozen=True, slots=True)
class Measure:
    """Numbers of one unit that share it in a sentence: a length, a size, a span, a feed.

    `form` is the format of a number, ``~3`` at most three decimals and no trailing zeros; empty: ``~2``, which is
    exact enough that 48 in read 48 in.
    """

    numbers: tuple[float, ...]
    form: str = ""
    between: str = ""
    unit: str = "mm"

    def told(self, inches: bool) -> str:
        """Return the numbers with their unit."""
        numbers = [_shown(number, self.form) for number in self.numbers]
        if not inches:
            return f"{self.between.join(numbers)} {self.unit}"
        return f"{self.between.join(_in_inches(n, self.unit) for n in numbers)} {_PER_INCH[self.unit][1]}"


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the plate or several; one of the drawing is told in both units, as most drawings are in mm."""

    spots: tuple[tuple[float, float], ...]
    form: str = ".2f"
    between: str = ""
    drawing: bool = False

    def told(self, inches: bool) -> str:
        """Return the place, for behind an ``at``."""
        spots = [(_shown(x, self.form), _shown(y, self.form)) for x, y in self.spots]
        text = self.between.join(f"{x}, {y}" for x, y in spots) + " mm"
        if inches:
            turned = self.between.join(f"{_in_inches(x, 'mm')}, {_in_inches(y, 'mm')}" for x, y in spots) + " in"
            text = f"{turned} ({text})" if self.drawing else turned
        return f"{text} of the drawing" if self.drawing else text


@dataclass(frozen=True, slots=True)
class Label:
    """The name of a contour with its size in mm: ``hole 3 D8``, ``outline 100 x 60``, ``slit 1 254 mm long``."""

    text: str

    def told(self, inches: bool) -> str:
        """Return the label; in mm the size stands without a unit."""
        return ", ".join(map(_label_in_inches, self.text.split(", "))) if inches else self.text


@dataclass(frozen=True, slots=True)
class Option:
    """A setting of the work that a remedy names, by its slug, with the length that it must at least allow."""

    name: str
    allow: float | None = None

    def told(self, inches: bool) -> str:
        """Return it as the command line spells it; in inches not a hair less, or the gap stays open."""
        if self.allow is None:
            return f"--{self.name}"
        if inches:
            return f"--{self.name} {ceil(self.allow / 25.4 * 1e4 - 1e-6) / 1e4:g}in"
        return f"--{self.name} {self.allow:.2f}mm"


@dataclass(frozen=True, slots=True)
class OfLine:
    """A line of the program, from 1, that a sentence points to."""

    line: int

    def told(self, inches: bool) -> str:
        """Return ``of line 12``."""
        return f"of line {self.line}"


@dataclass(frozen=True, slots=True)
class Sentence:
    """A template and its values by name: quantities, names, numbers, other sentences."""

    template: str
    pairs: tuple[tuple[str, object], ...] = ()

    @property
    def values(self) -> dict[str, object]:
        """The values by name."""
        return dict(self.pairs)

    def told(self, inches: bool = False) -> str:
        """Return the text in the unit of its reader."""
        return self.template.format_map({name: said(value, inches) for name, value in self.pairs})

    def __str__(self) -> str:
        return self.told()

    def __add__(self, more: Phrase) -> Sentence:
        return joined_phrases((self, more), "")

    def __radd__(self, before: str) -> Sentence:
        return joined_phrases((before, self), "")

    def value(self, name: str) -> object:
        """Return a value by its name, also from a sentence inside this one; None if there is none."""
        own = self.values
        inner = (value.value(name) for value in own.values() if isinstance(value, Sentence))
        return own[name] if name in own else next((value for value in inner if value is not None), None)

    def turned(self, change: Callable[[object], object]) -> Sentence:
        """Return the same sentence with each value changed, those of sentences in it, too."""
        pairs = [(n, v.turned(change) if isinstance(v, Sentence) else change(v)) for n, v in self.pairs]
        return Sentence(self.template, tuple(pairs))

    def data(self) -> dict[str, object]:
        """Return the values as plain data: lengths as lists of mm, sentences as their own values."""
        return {name: _plain(value) for name, value in self.pairs}


Phrase = str | Sentence
"""What is said to people: a finished text, or one with values."""


def say(template: str, **values: object) -> Sentence:
    """Return a sentence; each field of the template has its value."""
    return Sentence(template, tuple(values.items()))


def said(value: Any, inches: bool) -> Any:
    """Return a sentence or a quantity in the unit of its reader; what is neither stays as it is."""
    return value.told(inches) if isinstance(value, Sentence | Measure | Place | Label | OfLine | Option) else value


def joined_phrases(phrases: Iterable[object], between: str = ", ") -> Sentence:
    """Return phrases one after the other."""
    parts = tuple(phrases)
    return Sentence(
        between.join(f"{{part{k}}}" for k in range(len(parts))), tuple((f"part{k}", p) for k, p in enumerate(parts))
    )


def clause(phrase: Phrase) -> Phrase:
    """Return a sentence as it stands inside another one: small at its beginning, without its full stop."""
    return _reworded(phrase, lambda text: f"{text[:1].lower()}{text[1:].rstrip('.')}")


def unended(phrase: Phrase) -> Phrase:
    """Return a sentence without its full stop."""
    return _reworded(phrase, lambda text: text.rstrip("."))


def _reworded(phrase: Phrase, change: Callable[[str], str]) -> Phrase:
    return change(phrase) if isinstance(phrase, str) else Sentence(change(phrase.template), phrase.pairs)


def fields_of(template: str) -> set[str]:
    """Return the names of the values that a template needs."""
    return {
        name.partition(".")[0].partition("[")[0] for _, name, _, _ in Formatter().parse(template) if name is not None
    }


def mm(x: float, form: str = "") -> Measure:
    """Return a length of x mm for a sentence."""
    return Measure((float(x),), form)


def um(x: float, form: str = ".0f") -> Measure:
    """Return a length of x micrometers for a sentence."""
    return Measure((float(x),), form, unit="um")


def mm_min(x: float, form: str = ".0f") -> Measure:
    """Return a feed of x mm/min for a sentence."""
    return Measure((float(x),), form, unit="mm/min")


def mm_s2(x: float, form: str = "g") -> Measure:
    """Return an acceleration of x mm/s2 for a sentence."""
    return Measure((float(x),), form, unit="mm/s2")


def mm_size(width: float, height: float, form: str = "") -> Measure:
    """Return a size in mm for a sentence: ``100 x 60 mm``."""
    return Measure((float(width), float(height)), form, " x ")


def mm_span(least: float, most: float, form: str = "", between: str = " to ", unit: str = "mm") -> Measure:
    """Return two quantities of one unit for a sentence: ``0.1 to 0.2 mm``."""
    return Measure((float(least), float(most)), form, between, unit)


def mm_at(x: float, y: float, form: str = ".2f", *, drawing: bool = False) -> Place:
    """Return a place for a sentence: ``12.50, 40.20 mm``."""
    return Place(((float(x), float(y)),), form, drawing=drawing)


def mm_places(*spots: tuple[float, float], form: str = ".2f", between: str = ", ") -> Place:
    """Return several places for a sentence: ``0.00, 0.00 to 60.00, 40.00 mm``."""
    return Place(tuple((float(x), float(y)) for x, y in spots), form, between)


def named(text: str) -> Label:
    """Return the label of a contour for a sentence."""
    return Label(text)


def option(name: str, allow: float | None = None) -> Option:
    """Return a setting for a remedy: ``--join 0.41mm``."""
    return Option(name, allow)


def of_line(line: int) -> OfLine:
    """Return a line of the program for a sentence: ``of line 12``."""
    return OfLine(int(line))


def counted(number: int, thing: str) -> str:
    """Return a number with its noun (``1 hole``, ``2 holes``)."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def decimal(value: float, decimals: int) -> str:
    """Return `value` with at most `decimals` decimals, no trailing zeros, no minus zero."""
    if abs(value) >= HUGE:
        return f"{value:g}"
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _shown(number: float, form: str) -> str:
    if not form or form.startswith("~"):
        return decimal(number, int(form[1:] or 2))
    return format(number, form)


def _label_in_inches(text: str) -> str:
    words = text.split(" ")
    for k, word in enumerate(words):
        number = word.removeprefix("D")
        if not _is_number(number):
            continue
        if word != number:
            words[k] = f"D{_in_inches(number, 'mm')} in"
        elif words[k + 1 : k + 2] == ["x"] and _is_number("".join(words[k + 2 : k + 3])):
            words[k], words[k + 2] = _in_inches(number, "mm"), f"{_in_inches(words[k + 2], 'mm')} in"
            break
        elif words[k + 1 : k + 2] == ["mm"]:
            words[k : k + 2] = [_in_inches(number, "mm"), "in"]
            break
    return " ".join(words)


def _is_number(text: str) -> bool:
    return text[:1].isdigit() and text.replace(".", "", 1).isdigit()


def _in_inches(text: str, unit: str) -> str:
    """Return a number as one of inches, with two decimals more than it had, as far as a shop can measure."""
    share, _, fewer = _PER_INCH[unit]
    sign = text[: len(text) - len(text.lstrip("+-"))]
    digits = text[len(sign) :]
    value = float(digits) / share
    if value >= HUGE:
        return f"{sign}{value:g}"
    shown = len(digits.partition("e")[0].partition(".")[2])
    most = 4 if value < 0.1 else 3 if value < 100 else 2
    decimals = min(max(shown + 2, 3 if value < 10 else 2), most) + fewer
    while value and decimals < 9 and float(f"{value:.{decimals}f}") == 0:
        decimals += 1
    short = f"{value:.{decimals}f}"
    return sign + (short.rstrip("0").rstrip(".") if "." in short else short)


def _plain(value: object) -> object:
    if isinstance(value, Sentence):
        return value.data()
    if isinstance(value, Measure):
        return {"unit": value.unit, "numbers": list(value.numbers)}
    if isinstance(value, Place):
        return {"unit": "mm", "places": [list(spot) for spot in value.spots]}
    if isinstance(value, Label):
        return value.text
    if isinstance(value, OfLine):
        return value.line
    if isinstance(value, Option):
        return {"option": value.name, "allow": value.allow}
    return value if isinstance(value, str | int | float | bool | None) else str(value)
