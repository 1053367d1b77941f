"""What a program says of itself in its heading: for what it was made, so that the proof can be repeated."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kerfproof.motion.heading import read_heading

_COMMENT = re.compile(r"\(([^()]*)\)")
_NUMBER = r"-?\d+(?:\.\d+)?"
MOST_LINES = 2000
"""The heading stands in so many lines from the top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingClaim:
    """One drawing of the program: its name and digest, its unit, and where it lies on the plate."""

    name: str
    digest: str
    mm_per_unit: float | None = None
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
    plate: tuple[float, float, float, float] | None = None
    mode: str = "cut"
    join: float | None = None
    drawings: tuple[DrawingClaim, ...] = ()
    left_out: tuple[tuple[float, float], ...] = ()
    """Middles of features that were left out on purpose."""
    roles: tuple[tuple[str, str], ...] = ()
    """Role and layer pattern, as the person gave them."""
    layers: tuple[str, ...] = ()
    window: tuple[float, float, float, float] | None = None


def read_claims(text: str) -> Claims:
    """Return what the heading of a program says; all empty if it has none."""
    lines = text.split("\n", MOST_LINES)[:MOST_LINES]
    comments = [comment for line in lines for comment in _COMMENT.findall(line)]
    pairs = read_heading(comments)
    machine, _, digest = pairs.get("machine", "").rpartition(" ")
    material = re.fullmatch(rf"(.+) ({_NUMBER}) mm ({_NUMBER}) A", pairs.get("material", ""))
    plate = _box(pairs.get("plate", ""))
    return Claims(
        machine=machine or None,
        machine_digest=digest,
        material=material[1] if material else None,
        thickness=float(material[2]) if material else None,
        amps=float(material[3]) if material else None,
        kerf=_first(pairs.get("kerf", "")),
        plate=plate,
        mode=pairs.get("mode", "cut"),
        join=_first(pairs.get("join", "")),
        drawings=tuple(_drawing(part) for part in _each(comments, "drawing")),
        left_out=tuple(_place(part["left-out"]) for part in _each(comments, "left-out")),
        roles=tuple((role, layer) for role, _, layer in (p["role"].partition(" ") for p in _each(comments, "role"))),
        layers=tuple(part["layer"] for part in _each(comments, "layer")),
        window=_box(pairs.get("window", "")),
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
        shift=(numbers[0], numbers[1]) if len(numbers) >= 2 else (0.0, 0.0),
        turn_deg=numbers[2] if len(numbers) >= 3 else 0.0,
        mirror=shift.endswith("mirrored"),
    )
