"""What a program says of itself in its heading: for what it was made, so that the proof can be repeated."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import TypeVar

from kerfproof.errors import RuleChoice, Severity
from kerfproof.gcode.header_lines import read_heading
from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.geom.path import Path
from kerfproof.job.job import ContourRole, Mode, Rests, RoleRule
from kerfproof.job.write_header import CHOSEN
from kerfproof.parts.classify.choices import DrillKind, PageFrames

_COMMENT = re.compile(r"\(([^()]*)\)")
_NUMBER = r"-?\d+(?:\.\d+)?"
_PICKS = re.compile(
    r"(?:color:(?P<color>\S+) ?)?(?:linetype:(?P<type>\S+) ?)?(?:kind:(?P<kind>\S+) ?)?(?:layer:)?(?P<layer>.*)"
)
_MATERIAL = re.compile(rf"(.+) ({_NUMBER}) mm ({_NUMBER}) A")
_CONTOUR = re.compile(rf"(?P<role>\w+) at (?P<x>{_NUMBER}) (?P<y>{_NUMBER}) mm of (?P<drawing>.+)")
ROLE_WORDS = ("cut", "slit", "mark", "ignore")
Choice = TypeVar("Choice", bound=StrEnum)
MOST_LINES = 2000
"""The heading stands in so many lines from the top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingClaim:
    """One drawing of the program: its name and digest, its unit, and where it lies on the plate."""

    name: str
    digest: str
    mm_per_unit: float | None = None
    unit_given: bool = True
    """Whether a person said the unit; else the file does."""
    shift: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    mirror: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Claims:
    """The heading of a program; what it does not say is None or empty. Lengths mm."""

    machine: str | None = None
    machine_digest: str = ""
    material: str | None = None
    thickness: float | None = None
    amps: float | None = None
    kerf: float | None = None
    kerf_chosen: bool = False
    """Whether a person said the kerf, instead of the chart."""
    feed_mm_min: float | None = None
    feed_chosen: bool = False
    pierce_delay_s: float | None = None
    plate: tuple[float, float, float, float] | None = None
    mode: str = "cut"
    join: float | None = None
    drawings: tuple[DrawingClaim, ...] = ()
    left_out: tuple[tuple[float, float], ...] = ()
    """Middles of features that were left out on purpose."""
    left_names: tuple[str, ...] = ()
    """Their labels."""
    roles: tuple[RoleRule, ...] = ()
    contour_roles: tuple[ContourRole, ...] = ()
    drill_marks: DrillKind = DrillKind.NONE
    drill_below: float = 0.0
    bridges: float = 0.0
    """How wide the bridges are that hold middles of stencils, mm; 0: there are none."""
    page: PageFrames = PageFrames.AUTO
    layers: tuple[str, ...] = ()
    window: tuple[float, float, float, float] | None = None
    rules: tuple[RuleChoice, ...] = ()
    """Rules that count otherwise, as the job said."""
    tabs: tuple[Path, ...] = ()
    """Pieces of the torch's path that are left uncut on purpose."""
    rests: Rests = Rests.TELL
    damaged: tuple[str, ...] = ()
    """What is said and can't be read, as it stands there: ``kerf = banana``."""
    resumed: str = ""
    """What it goes on with, for `kerfproof.resume.earlier_programs`; empty if it stands alone."""


def read_claims(text: str) -> Claims:
    """Return what the heading of a program says; all empty if it has none."""
    lines = lines_of(text)[:MOST_LINES]
    comments = [comment for line in lines for comment in _COMMENT.findall(line)]
    pairs = read_heading(comments)
    machine, _, digest = pairs.get("machine", "").rpartition(" ")
    material = _MATERIAL.fullmatch(pairs.get("material", ""))
    plate = _box(pairs.get("plate", ""))
    return Claims(
        machine=machine or None,
        machine_digest=digest,
        material=material[1] if material else None,
        thickness=float(material[2]) if material else None,
        amps=float(material[3]) if material else None,
        kerf=_above_zero(pairs.get("kerf", "")),
        kerf_chosen=pairs.get("kerf", "").endswith(CHOSEN),
        feed_mm_min=_above_zero(pairs.get("feed", "")),
        feed_chosen=pairs.get("feed", "").endswith(CHOSEN),
        pierce_delay_s=_first(pairs.get("pierce-delay", "")),
        plate=plate,
        mode=pairs.get("mode", "cut"),
        join=_first(pairs.get("join", "")),
        drawings=tuple(_drawing(part) for part in _each(comments, "drawing")),
        left_out=tuple(_place(part["left-out"]) for part in _each(comments, "left-out")),
        left_names=tuple(part["left-out"].rpartition(" at ")[0] for part in _each(comments, "left-out")),
        roles=tuple(rule for p in _each(comments, "role") if (rule := _rule(p["role"])) is not None),
        contour_roles=tuple(
            c for p in _each(comments, "contour-role") if (c := _contour(p["contour-role"])) is not None
        ),
        drill_marks=_one_of(DrillKind, pairs.get("drill-marks", "").partition(" ")[0], DrillKind.NONE),
        drill_below=_first(pairs.get("drill-marks", "")) or 0.0,
        bridges=_first(pairs.get("bridges", "")) or 0.0,
        page=_one_of(PageFrames, pairs.get("page", ""), PageFrames.AUTO),
        layers=tuple(part["layer"] for part in _each(comments, "layer")),
        window=_box(pairs.get("window", "")),
        rules=tuple(choice for p in _each(comments, "rule") if (choice := _choice(p["rule"])) is not None),
        tabs=tuple(tab for p in _each(comments, "tab") if (tab := _tab(p["tab"])) is not None),
        rests=_one_of(Rests, pairs.get("rests", ""), Rests.TELL),
        damaged=tuple(f"{key} = {pairs[key]}" for key, form in _FORMS.items() if key in pairs and not form(pairs[key])),
        resumed=pairs.get("resumed", ""),
    )


def _each(comments: Sequence[str], key: str) -> list[dict[str, str]]:
    """Return the pairs from each pair `key` up to the next one of that name."""
    begin = re.compile(rf"\s*proof:\s*{key} =")
    starts = [k for k, comment in enumerate(comments) if begin.match(comment)]
    return [read_heading(comments[start:end]) for start, end in pairwise([*starts, len(comments)])]


def _numbers(text: str) -> list[float]:
    return [float(word) for word in re.findall(_NUMBER, text)]


def _box(text: str) -> tuple[float, float, float, float] | None:
    found = _numbers(text)
    return (found[0], found[1], found[2], found[3]) if len(found) == 4 else None


def _first(text: str) -> float | None:
    found = _numbers(text)
    return found[0] if found else None


def _above_zero(text: str) -> float | None:
    """Return the first number; None if there is none that a cut can have."""
    found = _first(text)
    return found if found is not None and found > 0 else None


_FORMS: Mapping[str, Callable[[str], object]] = {
    "machine": lambda text: text.partition(" ")[2],
    "material": _MATERIAL.fullmatch,
    "kerf": _above_zero,
    "feed": _above_zero,
    "pierce-delay": _numbers,
    "plate": _box,
    "mode": lambda text: text in (*Mode, "touch"),
    "join": _numbers,
    "units": _above_zero,
    "shift": lambda text: len(_numbers(text)) >= 2,
    "window": _box,
}
"""What must be made of the text of a pair, or it is damaged."""


def _rule(text: str) -> RoleRule | None:
    """Return the rule in ``cut color:red linetype:DASHED layer:SHEET 1`` or ``cut SHEET 1``."""
    role, _, rest = text.partition(" ")
    found = _PICKS.fullmatch(rest)
    if found is None or role not in ROLE_WORDS:
        return None
    picks = {"color": found["color"] or "", "linetype": found["type"] or "", "kind": found["kind"] or ""}
    return RoleRule(role=role, layer=found["layer"], **picks)


def _contour(text: str) -> ContourRole | None:
    """Return what is said in ``mark at 12.0000 30.0000 mm of part.dxf``."""
    found = _CONTOUR.fullmatch(text)
    if found is None or found["role"] not in ROLE_WORDS:
        return None
    return ContourRole(drawing=found["drawing"], x=float(found["x"]), y=float(found["y"]), role=found["role"])


def _choice(text: str) -> RuleChoice | None:
    """Return what is said in ``off-plate note the sheet is larger``."""
    rule, _, rest = text.partition(" ")
    word, _, reason = rest.partition(" ")
    if word not in ("off", *Severity) or not reason:
        return None
    return RuleChoice(rule, None if word == "off" else Severity(word), reason)


def _one_of(kind: type[Choice], text: str, usual: Choice) -> Choice:
    return next((member for member in kind if member.value == text), usual)


def _place(text: str) -> tuple[float, float]:
    """Return the place after the last ``at`` of ``hole 2 D3 at 50.000 30.000 mm``."""
    found = _numbers(text.rpartition(" at ")[2])
    return (found[0], found[1]) if len(found) == 2 else (0.0, 0.0)


def _drawing(pairs: Mapping[str, str]) -> DrawingClaim:
    name, _, digest = pairs["drawing"].rpartition(" ")
    shift = pairs.get("shift", "")
    numbers = _numbers(shift)
    return DrawingClaim(
        name=name,
        digest=digest,
        mm_per_unit=_first(pairs.get("units", "")),
        unit_given=not pairs.get("units", "").endswith(" header"),
        shift=(numbers[0], numbers[1]) if len(numbers) >= 2 else (0.0, 0.0),
        turn_deg=numbers[2] if len(numbers) >= 3 else 0.0,
        mirror=shift.endswith("mirrored"),
    )


def _tab(text: str) -> Path | None:
    """Return what `kerfproof.job.write_header.tab_words` wrote, None if it is damaged."""
    found = _numbers(text)
    if len(found) < 6 or len(found) % 3:
        return None
    try:
        return Path([found[k : k + 3] for k in range(0, len(found), 3)], False)
    except ValueError:
        return None
