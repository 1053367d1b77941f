"""What a program says of itself in its heading: for what it was made, so that the proof can be repeated."""

from __future__ import annotations

import re
from dataclasses import dataclass

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


def read_claims(text: str) -> Claims:
    """Return what the heading of a program says; all empty if it has none."""
    lines = text.split("\n", MOST_LINES)[:MOST_LINES]
    pairs = read_heading([comment for line in lines for comment in _COMMENT.findall(line)])
    machine, _, digest = pairs.get("machine", "").rpartition(" ")
    material = re.fullmatch(rf"(.+) ({_NUMBER}) mm ({_NUMBER}) A", pairs.get("material", ""))
    plate = _numbers(pairs.get("plate", ""))
    return Claims(
        machine=machine or None,
        machine_digest=digest,
        material=material[1] if material else None,
        thickness=float(material[2]) if material else None,
        amps=float(material[3]) if material else None,
        kerf=_first(pairs.get("kerf", "")),
        plate=(plate[0], plate[1], plate[2], plate[3]) if len(plate) == 4 else None,
        mode=pairs.get("mode", "cut"),
        join=_first(pairs.get("join", "")),
        drawings=tuple(
            _drawing(
                value, pairs.get(key.replace("drawing", "units"), ""), pairs.get(key.replace("drawing", "shift"), "")
            )
            for key, value in pairs.items()
            if _is(key, "drawing")
        ),
        left_out=tuple(_place(value) for key, value in pairs.items() if _is(key, "left-out")),
    )


def _is(key: str, name: str) -> bool:
    """Return whether `key` is `name`, alone or counted (``drawing``, ``drawing-2``)."""
    return re.fullmatch(rf"{name}(?:[-.]\d+)?", key) is not None


def _numbers(text: str) -> list[float]:
    return [float(word) for word in re.findall(_NUMBER, text)]


def _first(text: str) -> float | None:
    found = _numbers(text)
    return found[0] if found else None


def _place(text: str) -> tuple[float, float]:
    """Return the place after the last ``at`` of ``hole 2 D3 at 50.000 30.000 mm``."""
    found = _numbers(text.rpartition(" at ")[2])
    return (found[0], found[1]) if len(found) == 2 else (0.0, 0.0)


def _drawing(value: str, units: str, shift: str) -> DrawingClaim:
    name, _, digest = value.rpartition(" ")
    numbers = _numbers(shift)
    return DrawingClaim(
        name=name,
        digest=digest,
        mm_per_unit=_first(units),
        shift=(numbers[0], numbers[1]) if len(numbers) >= 2 else (0.0, 0.0),
        turn_deg=numbers[2] if len(numbers) >= 3 else 0.0,
        mirror=shift.endswith("mirrored"),
    )
