"""How single values are spelled in shop files: text with a unit, a word, a size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any, ClassVar

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError, core_schema

from kerfproof import units
from kerfproof.box import Box
from kerfproof.errors import KerfproofError, RuleChoice, Severity
from kerfproof.units import LENGTH, Kind


class Spelling:
    """How a value is spelled in a file. Stands in the annotation of a model's attribute."""

    def read(self, raw: Any) -> Any:
        """Return the value that `raw` spells. Raises KerfproofError with one sentence."""
        raise NotImplementedError

    def write(self, value: Any, like: Any = None, inches: bool = False) -> Any:
        """Return what to write for `value`, in the unit of `like` if that is the text it replaces."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema of the spelling."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        def read(raw: Any) -> Any:
            try:
                return self.read(raw)
            except KerfproofError as error:
                raise PydanticCustomError("spelling", "{sentence}", {"sentence": str(error)}) from None

        return core_schema.no_info_before_validator_function(read, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.schema()


@dataclass(frozen=True)
class Quantity(Spelling):
    """A number with a unit, as text."""

    kind: Kind

    def read(self, raw: Any) -> float:
        """Return the quantity in the inner unit."""
        if isinstance(raw, str):
            return units.parse(raw, self.kind)
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise KerfproofError(f'must be a {self.kind.name} in quotes, for example "1 {self.kind.samples[0]}"')
        raise KerfproofError(units.needs_unit(raw, self.kind))

    def write(self, value: Any, like: Any = None, inches: bool = False) -> str:
        """Return the shortest exact text, in inches where wanted and possible."""
        unit = units.unit_of(like, self.kind) if isinstance(like, str) else ""
        if not unit:
            inch = [sample for sample in self.kind.samples if sample.startswith("in")]
            unit = inch[0] if inches and inch else self.kind.unit
        return units.spell(value, self.kind, unit.replace('"', "in"))

    def schema(self) -> dict[str, Any]:
        """Return text with examples."""
        return {"type": "string", "examples": [f"1 {unit}" for unit in self.kind.samples]}


@dataclass(frozen=True)
class LengthOr(Spelling):
    """A length above zero, or one word that means None."""

    word: str

    def read(self, raw: Any) -> float | None:
        """Return the length in mm or None."""
        if raw == self.word:
            return None
        length = Quantity(LENGTH).read(raw)
        if length <= 0:
            raise KerfproofError(f'{quoted(raw)} must be more than 0, or "{self.word}"')
        return length

    def write(self, value: Any, like: Any = None, inches: bool = False) -> str:
        """Return the word or the length."""
        return self.word if value is None else Quantity(LENGTH).write(value, like, inches)

    def schema(self) -> dict[str, Any]:
        """Return text with examples."""
        return {"type": "string", "examples": [self.word, "0.05 mm"]}


class RuleChoices(Spelling):
    """Rules on programs with another severity, or silenced: a table of ``rule = "warning: reason"``."""

    is_table: ClassVar = True

    def read(self, raw: Any) -> tuple[RuleChoice, ...]:
        """Return the choices in the order written."""
        if not isinstance(raw, dict):
            raise KerfproofError('must be a table of rules, for example [rules] and line-too-long = "note: why"')
        return tuple(self._choice(rule, text) for rule, text in raw.items())

    def _choice(self, rule: str, text: Any) -> RuleChoice:
        word, _, reason = text.partition(":") if isinstance(text, str) else ("", "", "")
        word, reason = word.strip().lower(), reason.strip()
        if word not in ("off", *Severity) or not reason:
            raise KerfproofError(
                f'{rule} must be error, warning, note or off, a colon and the reason, for example "note: why"'
            )
        return RuleChoice(rule, None if word == "off" else Severity(word), reason)

    def write(self, value: Any, like: Any = None, inches: bool = False) -> dict[str, str]:
        """Return the table."""
        return {c.rule: f"{'off' if c.severity is None else c.severity}: {c.reason}" for c in value}

    def schema(self) -> dict[str, Any]:
        """Return an object of texts."""
        pattern = "^(error|warning|note|off): *.+"
        return {"type": "object", "additionalProperties": {"type": "string", "pattern": pattern}}


class DrawingUnit(Spelling):
    """The unit of a drawing: its name, or the length of one unit."""

    _SIZES: ClassVar = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}

    def read(self, raw: Any) -> float:
        """Return mm per unit."""
        size = self._SIZES.get(raw.strip().lower()) if isinstance(raw, str) else None
        size = Quantity(LENGTH).read(raw) if size is None else size
        if size <= 0:
            raise KerfproofError(f"{quoted(raw)} must be more than 0")
        return size

    def write(self, value: Any, like: Any = None, inches: bool = False) -> str:
        """Return the name of the unit, or its length."""
        named = next((name for name, size in self._SIZES.items() if size == value), None)
        return named or Quantity(LENGTH).write(value, like, inches)

    def schema(self) -> dict[str, Any]:
        """Return text with examples."""
        return {"type": "string", "examples": [*self._SIZES, "0.1 mm"]}


class PlateSize(Spelling):
    """Width and height of a plate."""

    def read(self, raw: Any) -> tuple[float, float]:
        """Return width and height in mm."""
        if not isinstance(raw, str):
            raise KerfproofError('must be a size in quotes, for example "1200x600 mm"')
        return units.parse_size(raw)

    def write(self, value: Any, like: Any = None, inches: bool = False) -> str:
        """Return both sides with one unit if that says them exactly, else each with its own."""
        unit = units.unit_of(like.lower().rpartition("x")[2], LENGTH) if isinstance(like, str) else ""
        for inch in (unit in ("in", '"', "inch", "inches") or (inches and not unit), False):
            text = units.format_size(value[0], value[1], inch)
            if units.parse_size(text) == tuple(value):
                return text
        return " x ".join(units.spell(side, LENGTH, "mm") for side in value)

    def schema(self) -> dict[str, Any]:
        """Return text with examples."""
        return {"type": "string", "examples": ["1200x600 mm", "48x24 in"]}


class BoxSize(Spelling):
    """Two opposite corners of a box."""

    def read(self, raw: Any) -> Box:
        """Return xmin, ymin, xmax, ymax in mm."""
        if not isinstance(raw, str):
            raise KerfproofError('must be a box in quotes, for example "0,0,200,100 mm"')
        return units.parse_box(raw)

    def write(self, value: Any, like: Any = None, inches: bool = False) -> str:
        """Return the corners, each with its unit where one unit does not say all of them exactly."""
        unit = units.unit_of(like.rpartition(",")[2], LENGTH) if isinstance(like, str) else ""
        for wanted in (unit or ("in" if inches else "mm"), "mm"):
            texts = [units.spell(v, LENGTH, wanted) for v in value]
            if all(text.endswith(f" {wanted}") for text in texts):
                return f"{','.join(text.removesuffix(f' {wanted}') for text in texts)} {wanted}"
        return ",".join(texts)

    def schema(self) -> dict[str, Any]:
        """Return text with examples."""
        return {"type": "string", "examples": ["0,0,200,100 mm", "0,0,8,4 in"]}


class Words(Spelling):
    """A choice of words, each standing for a value."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self._values = dict(values)

    @classmethod
    def of(cls, kind: type[StrEnum]) -> Words:
        """Return the choice among the members of `kind`, each written as its value."""
        return cls({member.value: member for member in kind})

    def read(self, raw: Any) -> Any:
        """Return the value that the word stands for."""
        if isinstance(raw, str) and raw.strip().lower() in self._values:
            return self._values[raw.strip().lower()]
        raise KerfproofError(f"{quoted(raw)} is not one of {listed(self._values)}")

    def write(self, value: Any, like: Any = None, inches: bool = False) -> str:
        """Return the word for `value`."""
        return next(word for word, meant in self._values.items() if meant == value)

    def schema(self) -> dict[str, Any]:
        """Return the words."""
        return {"type": "string", "enum": list(self._values)}


Length = Annotated[float, Quantity(LENGTH)]
MaybeLength = Annotated[float | None, Quantity(LENGTH)]
Feed = Annotated[float, Quantity(units.FEED)]
MaybeFeed = Annotated[float | None, Quantity(units.FEED)]
Time = Annotated[float, Quantity(units.TIME)]
MaybeTime = Annotated[float | None, Quantity(units.TIME)]
Acceleration = Annotated[float, Quantity(units.ACCELERATION)]
MaybeAcceleration = Annotated[float | None, Quantity(units.ACCELERATION)]
Current = Annotated[float, Quantity(units.CURRENT)]
MaybeCurrent = Annotated[float | None, Quantity(units.CURRENT)]
Percent = Annotated[float, Quantity(units.PERCENT)]
Angle = Annotated[float, Quantity(units.ANGLE)]
MaybeFlow = Annotated[float | None, Quantity(units.FLOW)]
MaybePressure = Annotated[float | None, Quantity(units.PRESSURE)]
MaybeVolume = Annotated[float | None, Quantity(units.VOLUME)]
MaybeArea = Annotated[float | None, Quantity(units.AREA)]
MaybeSize = Annotated[tuple[float, float] | None, PlateSize()]
MaybeBox = Annotated[Box | None, BoxSize()]


def spelling_of(info: FieldInfo) -> Spelling | None:
    """Return the spelling in the annotation of a model's attribute, None for plain text, numbers and switches."""
    return next((item for item in info.metadata if isinstance(item, Spelling)), None)


def quoted(raw: object) -> str:
    """Return a value of a file as the file shows it, on one line and not too long."""
    if isinstance(raw, bool):
        return str(raw).lower()
    text = " ".join(str(raw).split())
    text = f"{text[:60]}..." if len(text) > 64 else text
    return f'"{text}"' if isinstance(raw, str) else text


def listed(words: Mapping[str, Any] | tuple[str, ...] | list[str]) -> str:
    """Return words as ``a, b or c``."""
    names = list(words)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}" if names else "nothing"
