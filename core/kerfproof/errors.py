"""What can go wrong, as one root exception and one kind of finding."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum

from kerfproof.sentence import Phrase, Sentence, joined_phrases, mm_at, said, say


class Severity(StrEnum):
    """How much a finding weighs: an error forbids the program, a warning and a note do not."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found wrong with the work: what, where and what to do.

    `problem` and `remedy` keep their lengths and places as values; `message` and `advice` are the same in mm.
    `rule` is a slug that reads well after "allow" (``torch-left-on``). `line` counts program lines from 1.
    `x` and `y` are mm: in plate coordinates for findings on programs, in drawing coordinates for findings
    on drawings. `handle` is a DXF entity handle.
    """

    rule: str
    severity: Severity
    problem: Phrase
    remedy: Phrase = ""
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

    @property
    def message(self) -> str:
        """What is wrong, lengths in mm."""
        return str(self.problem)

    @property
    def advice(self) -> str:
        """What to do, lengths in mm."""
        return str(self.remedy)

    @property
    def values(self) -> dict[str, object]:
        """The values of problem and remedy by name, as plain data."""
        return {
            name: value
            for phrase in (self.problem, self.remedy)
            if isinstance(phrase, Sentence)
            for name, value in phrase.data().items()
        }

    def value(self, name: str) -> object:
        """Return a value of the problem by its name, also from a sentence inside it; None if there is none."""
        return self.problem.value(name) if isinstance(self.problem, Sentence) else None

    def whole(self, *, lined: bool = True) -> Sentence:
        """Return message and place as one phrase, its program line among them if `lined`."""
        places: list[object] = []
        if lined and self.line is not None:
            places.append(f"line {self.line}")
        if self.handle:
            places.append(f"entity {self.handle}")
        if self.x is not None and self.y is not None:
            x, y = round(self.x, 2) + 0.0, round(self.y, 2) + 0.0  # no -0.00
            places.append(say("at {at}", at=mm_at(x, y, drawing=bool(self.drawing))))
        if not places:
            return say("{what}", what=self.problem)
        return say("{what} ({places})", what=self.problem, places=joined_phrases(places))

    def full(self) -> Sentence:
        """Return message, place and advice as one phrase."""
        return say("{what} -> {remedy}", what=self.whole(), remedy=self.remedy) if self.remedy else self.whole()

    def sentence(self, inches: bool = False) -> str:
        """Return message, place and advice as one line of text."""
        return self.full().told(inches)


@dataclass(frozen=True, slots=True)
class RuleChoice:
    """How a shop weighs one rule on programs: another severity, or None to silence it, and why."""

    rule: str
    severity: Severity | None
    reason: str


class KerfproofError(Exception):
    """Work that can't go on: what is wrong, `where` it is, and what to do; each one phrase.

    `problem` and `remedy` keep their lengths as values; `what` and `advice` are the same in mm.
    """

    def __init__(self, problem: Phrase, *, where: str = "", advice: Phrase = "") -> None:
        self.problem, self.where, self.remedy = problem, where, advice
        super().__init__(str(problem))

    @property
    def what(self) -> str:
        """What is wrong, lengths in mm."""
        return str(self.problem)

    @property
    def advice(self) -> str:
        """What to do, lengths in mm."""
        return str(self.remedy)

    def phrase(self) -> Sentence:
        """Return place, problem and advice as one phrase."""
        where = f"{self.where}: " if self.where else ""
        remedy = say(" ({remedy})", remedy=self.remedy) if self.remedy else ""
        return say("{where}{what}{remedy}", where=where, what=self.problem, remedy=remedy)

    def told(self, inches: bool = False) -> str:
        """Return place, problem and advice as one line of text."""
        return self.phrase().told(inches)

    def __str__(self) -> str:
        return self.told()

    def __reduce__(self) -> tuple[Callable[..., KerfproofError], tuple[object, ...]]:
        return _rebuild, (type(self), self.problem, self.where, self.remedy)


@contextmanager
def refusals(inches: bool) -> Iterator[None]:
    """Let what can't be done here, and what to do about it, be told in the unit of its reader."""
    try:
        yield
    except KerfproofError as error:
        error.problem, error.remedy = said(error.problem, inches), said(error.remedy, inches)
        error.args = (error.what,)
        raise


def _rebuild(kind: type[KerfproofError], problem: Phrase, where: str, remedy: Phrase) -> KerfproofError:
    return kind(problem, where=where, advice=remedy)


class UnitUnknown(KerfproofError):
    """A drawing that does not say its unit. `size` is its width and height in drawing units, None if unknown."""

    size: tuple[float, float] | None = None


class UnitDoubtful(KerfproofError):
    """Work that fails where the unit of a drawing may be wrong."""


class NothingToCut(KerfproofError):
    """A drawing without a closed contour. `findings` tell what was found in it, `told_of` is the one it says itself."""

    findings: tuple[Finding, ...] = ()
    told_of: Finding | None = None


class FileBroken(KerfproofError):
    """A file that is no TOML, or of a format that is not read here.

    `line` is where it stops being it, from 1; None at its end, or where it is about the whole file.
    """

    line: int | None = None


class Cancelled(KerfproofError):
    """The person asked to stop."""


Watch = Callable[[str, float], None]
"""Called with a stage name and a share from 0 to 1, at least every 50 ms of work; may raise `Cancelled`."""


def no_watch(stage: str, share: float) -> None:
    """Watch nothing."""
