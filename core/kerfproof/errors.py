"""What can go wrong, as one root exception and one kind of finding."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding weighs: an error forbids the program, a warning and a note do not."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found wrong with the work: what, where and what to do.

    `rule` is a slug that reads well after "allow" (``torch-left-on``). `line` counts program lines from 1.
    `x` and `y` are mm: in plate coordinates for findings on programs, in drawing coordinates for findings
    on drawings. `handle` is a DXF entity handle.
    """

    rule: str
    severity: Severity
    message: str
    advice: str = ""
    line: int | None = None
    x: float | None = None
    y: float | None = None
    handle: str = ""
    size: float | None = None
    """How much it is about, mm: the width of a gap."""
    layer: str = ""
    """The layer that it is about."""
    column: int | None = None
    """Where in the line, from 1."""
    drawing: str = ""
    """The drawing whose coordinates `x` and `y` are in; empty: plate coordinates."""

    def sentence(self) -> str:
        """Return message, place and advice as one line of text."""
        places = []
        if self.line is not None:
            places.append(f"line {self.line}")
        if self.handle:
            places.append(f"entity {self.handle}")
        if self.x is not None and self.y is not None:
            x, y = round(self.x, 2) + 0.0, round(self.y, 2) + 0.0  # no -0.00
            places.append(f"at {x:.2f}, {y:.2f} mm{' of the drawing' if self.drawing else ''}")
        place = f" ({', '.join(places)})" if places else ""
        return f"{self.message}{place}" + (f" -> {self.advice}" if self.advice else "")


@dataclass(frozen=True, slots=True)
class RuleChoice:
    """How a shop weighs one rule on programs: another severity, or None to silence it, and why."""

    rule: str
    severity: Severity | None
    reason: str


class KerfproofError(Exception):
    """Work that can't go on. `what` is wrong, `where` it is, `advice` says what to do; each one phrase."""

    def __init__(self, what: str, *, where: str = "", advice: str = "") -> None:
        self.what, self.where, self.advice = what, where, advice
        super().__init__(what)

    def __str__(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        return f"{text} ({self.advice})" if self.advice else text

    def __reduce__(self) -> tuple[Callable[..., KerfproofError], tuple[object, ...]]:
        return _rebuild, (type(self), self.what, self.where, self.advice)


def _rebuild(kind: type[KerfproofError], what: str, where: str, advice: str) -> KerfproofError:
    return kind(what, where=where, advice=advice)


class UnitUnknown(KerfproofError):
    """A drawing that does not say its unit. `size` is its width and height in drawing units, None if unknown."""

    size: tuple[float, float] | None = None


class NothingToCut(KerfproofError):
    """A drawing without a closed contour. `findings` tell what was found in it."""

    findings: tuple[Finding, ...] = ()


class Cancelled(KerfproofError):
    """The person asked to stop."""


Watch = Callable[[str, float], None]
"""Called with a stage name and a share from 0 to 1, at least every 50 ms of work; may raise `Cancelled`."""


def no_watch(stage: str, share: float) -> None:
    """Watch nothing."""
