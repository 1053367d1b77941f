"""What a person reads off a test piece: names with values, as typed or in a file.

One reading is ``S1 = 38.61 mm``; several values of one name stand behind each other (``S1 = 38.61 38.55 mm``), a
unit behind the last holds for all of them. A reading without a unit has that of ``unit = mm``, else the one unit that
the other readings have. Lines and semicolons end a reading, ``#`` begins a comment.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.sentence import Phrase, mm, say
from kerfproof.units import LENGTH, Kind, parse

INCH = 25.4
Readings = Mapping[str, tuple[float, ...]]
"""Values by name, in inner units."""

_PAIR = re.compile(r"([A-Za-z][\w-]*)\s*[=:]\s*([^=:]*?)(?=(?:[A-Za-z][\w-]*\s*[=:])|$)", re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One reading that a piece asks for. `quantity` is None for whole numbers and bare counts.

    `expected` is about what it should come to, for finding typing mistakes; None: anything. `names` are the words that
    stand for numbers (``A2``: 2), where the person answers by name.
    """

    name: str
    text: Phrase
    quantity: Kind | None = LENGTH
    expected: float | None = None
    names: Mapping[str, float] | None = None
    required: bool = False


def parse_readings(text: str, asked: Sequence[Asked], where: str = "") -> Readings:
    """Return the readings in a text.

    Raises
    ------
    KerfproofError
        If a reading is not asked for, a number can't be read, or nobody says its unit.
    """
    known = {a.name.lower(): a for a in asked}
    found: dict[str, tuple[float, ...]] = {}
    pairs = list(_pairs(text, where))
    unit = _unit(pairs)
    for name, value in pairs:
        if name.lower() == "unit":
            continue
        ask = known.get(name.lower())
        if ask is None:
            raise KerfproofError(
                f"the piece has no reading {name!r}", where=where, advice=f"it asks for {_listed(asked)}"
            )
        found[ask.name] = (*found.get(ask.name, ()), *_values(ask, value, unit, where))
    if not found:
        raise KerfproofError("there is no reading", where=where, advice=f'write for example "{_listed(asked, 1)} = 1"')
    missing = [a.name for a in asked if a.required and a.name not in found]
    if missing:
        raise KerfproofError(f"the reading {missing[0]!r} is missing", where=where)
    return found


def _unit(pairs: Sequence[tuple[str, str]]) -> str | None:
    """Return the unit for readings without one: as said, else the only one that is written anywhere."""
    for name, value in pairs:
        if name.lower() == "unit":
            return value.strip()
    written = {word for _, value in pairs if (word := _unit_word(value))}
    return next(iter(written)) if len(written) == 1 else None


def _unit_word(value: str) -> str:
    """Return the unit of length at the end of a value, empty if there is none."""
    found = re.search(r"([A-Za-z\"]+)\s*$", value)
    return found[1].lower() if found and found[1].lower() in LENGTH.units else ""


def _listed(asked: Sequence[Asked], most: int = 40) -> str:
    return ", ".join(a.name for a in asked[:most])


def _pairs(text: str, where: str) -> Iterator[tuple[str, str]]:
    """Return names and what stands behind them."""
    for line in re.split(r"[\n;]", re.sub(r"#.*", "", text)):
        if not line.strip():
            continue
        rest = _PAIR.sub("", line).strip(" ,\t\r")
        if rest:
            raise KerfproofError(f"{rest!r} is no reading", where=where, advice='write for example "S1 = 38.6 mm"')
        for match in _PAIR.finditer(line):
            yield match[1], match[2].strip(" ,\t\r")


def _values(ask: Asked, text: str, unit: str | None, where: str) -> tuple[float, ...]:
    if ask.quantity is None and _unit_word(text):
        text = text[: -len(_unit_word(text))].strip()  # a unit behind the last of all readings
    if ask.names is not None:
        return tuple(_named(ask, word, where) for word in re.split(r"[\s,]+", text) if word)
    words = re.findall(r"[^\s,]+(?:\s+(?![\d.+-])[^\s,]+)?", text)
    if not words:
        raise KerfproofError(f"{ask.name} has no value", where=where)
    if ask.quantity is None:
        return tuple(_count(ask, word, where) for word in words)
    last = re.sub(r"^[\d\s./+-]*", "", words[-1]).strip() or unit
    return tuple(_quantity(ask, word, last, where) for word in words)


def _quantity(ask: Asked, word: str, unit: str | None, where: str) -> float:
    assert ask.quantity is not None
    try:
        return parse(word, ask.quantity, unit)
    except KerfproofError as error:
        raise KerfproofError(
            say("{name}: {what}", name=ask.name, what=error.problem), where=where, advice=error.remedy
        ) from None


def _count(ask: Asked, word: str, where: str) -> float:
    try:
        return float(word)
    except ValueError:
        raise KerfproofError(f"{ask.name}: {word!r} is no number", where=where) from None


def _named(ask: Asked, word: str, where: str) -> float:
    assert ask.names is not None
    for name, value in ask.names.items():
        if name.lower() == word.lower():
            return value
    raise KerfproofError(
        f"{ask.name}: there is no {word!r} on this piece", where=where, advice=f"one of {', '.join(ask.names)}"
    )


def mistyped(name: str, value: float, expected: float, others: Mapping[str, float], reach: float) -> Finding | None:
    """Return what is wrong with a length that can't be right, None if it may be.

    `expected` is what it should come to within `reach`, `others` what the piece's other readings should. Named are a
    negative value, the wrong unit, a neighbour's reading, a slipped or missing decimal point, and anything else
    beyond `reach`.
    """
    if abs(value - expected) <= reach:
        return None
    shown = say(
        "{name} = {value}, about {expected} is expected",
        name=name,
        value=mm(value, ".4g"),
        expected=mm(expected, ".4g"),
    )
    if value <= 0:
        return _wrong(say("{shown}: a size is more than 0", shown=shown))
    for factor, why in (
        (INCH, "inches typed as mm"), (1 / INCH, "mm typed as inches"), (10.0, "cm typed as mm, or a decimal slipped"),
        (0.1, "a decimal slipped"), (100.0, "a decimal slipped"), (0.01, "a decimal slipped"),
    ):  # fmt: skip
        if abs(value * factor - expected) <= reach:
            return _wrong(say("{shown}: it looks like {why}", shown=shown, why=why))
    for other, there in others.items():
        if other != name and abs(value - there) <= reach / 2:
            return _wrong(say("{shown}: it looks like the reading of {other}", shown=shown, other=other))
    return _wrong(say("{shown}: too far off to be true", shown=shown))


def _wrong(message: Phrase) -> Finding:
    return Finding("reading-impossible", Severity.ERROR, message, "measure it again, or leave the reading out")
