"""Material, thickness and count from a file's name, by a pattern that the person sets.

``{material}_{thickness}_*`` reads ``steel_3mm_bracket.dxf``; ``*-{thickness:mm}`` reads ``bracket-3.dxf`` as 3 mm.
``*`` is any text, ``?`` any one letter, case counts for nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from kerfproof.errors import KerfproofError
from kerfproof.shop.material import parse_thickness

_FIELD = re.compile(r"\{([^{}]*)\}")
_NUMBER = r"(?<![\d.,])\d+(?:[.,]\d+)?(?:-\d+-\d+)?"
_UNITS = ("mm", "cm", "in", "inch", "ga", "gauge", "thou")
_KINDS = {
    "material": r"(?P<material>\w[\w -]*?)",
    "thickness": rf"(?P<thickness>{_NUMBER}[ _-]?(?:{'|'.join(sorted(_UNITS, key=len, reverse=True))}))(?![a-z])",
    "count": r"(?<!\d)(?P<count>[1-9]\d{0,2})(?!\d)",
    **{f"thickness:{unit}": rf"(?P<thickness>{_NUMBER})(?![.,]?\d)" for unit in _UNITS},
}


@dataclass(frozen=True, slots=True)
class FromName:
    """What a file's name says; None where the pattern asks nothing."""

    material: str | None = None
    thickness: float | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class NamePattern:
    """A pattern of file names. `problems` are its mistakes as sentences; `fields` what it reads."""

    text: str
    fields: tuple[str, ...]
    unit: str
    short: re.Pattern[str] | None
    long: re.Pattern[str] | None
    problems: tuple[str, ...]

    def read(self, stem: str, materials: Mapping[str, str], material: str) -> FromName | None:
        """Return what a name without its ending says, None if it does not follow the pattern.

        `materials` are words of names and what the chart calls them; a gauge is one of `material` if the name
        names none.

        Raises
        ------
        KerfproofError
            If the name can be read in two ways, or its thickness means nothing.
        """
        if self.short is None or self.long is None:
            return None
        first, last = self.short.fullmatch(stem), self.long.fullmatch(stem)
        if first is None or last is None:
            return None
        found = first.groupdict()
        if found != last.groupdict():
            both = [m.groupdict()[f] for f in self.fields for m in (first, last)]
            raise KerfproofError(
                f"the name can be read in two ways: {' or '.join(dict.fromkeys(both))}",
                where=stem,
                advice=f"make the pattern {self.text} or the name clearer",
            )
        named = _material(found["material"], materials) if found.get("material") else None
        return FromName(
            material=named,
            thickness=_thickness(found["thickness"], self.unit, named or material) if found.get("thickness") else None,
            count=int(found["count"]) if found.get("count") else None,
        )


@lru_cache(maxsize=64)
def pattern_of(text: str) -> NamePattern:
    """Return the pattern that `text` describes, with its mistakes."""
    asked = _FIELD.findall(text)
    problems = [
        f"{{{field}}} is not known, only {{material}}, {{thickness}}, {{thickness:mm}}, {{thickness:in}} and {{count}}"
        for field in asked
        if field not in _KINDS
    ]
    names = [field.partition(":")[0] for field in asked]
    problems += [f"{{{name}}} comes twice" for name in dict.fromkeys(names) if names.count(name) > 1]
    if not asked:
        problems.append('has nothing to read in it, for example "{material}_{thickness}_*"')
    if problems:
        return NamePattern(text, tuple(names), "", None, None, tuple(problems))
    unit = next((field.partition(":")[2] for field in asked if field.startswith("thickness:")), "")
    return NamePattern(text, tuple(names), unit, _compiled(text, "?"), _compiled(text, ""), ())


def _compiled(text: str, lazy: str) -> re.Pattern[str]:
    """Return the pattern with ``*`` taking as little (`lazy` is ``?``) or as much as it can."""
    parts = []
    for k, piece in enumerate(_FIELD.split(text)):
        if k % 2:
            parts.append(_KINDS[piece])
        else:
            parts += [f".*{lazy}" if c == "*" else "." if c == "?" else re.escape(c) for c in piece]
    return re.compile("".join(parts), re.IGNORECASE | re.DOTALL)


def _material(word: str, materials: Mapping[str, str]) -> str:
    named = {key.casefold(): value for key, value in materials.items()}
    return named.get(word.casefold(), word.replace("_", " ").strip())


def _thickness(word: str, unit: str, material: str) -> float:
    text = re.sub(r"[ _-]?([A-Za-z]+)$", r" \1", word.replace(",", "."))
    whole, mark, over = text.partition("-")
    if mark:  # 1-1-2in: a slash can't stand in a name
        text = f"{whole} {over.replace('-', '/')}"
    return parse_thickness(f"{text} {unit}" if unit else text, material)
