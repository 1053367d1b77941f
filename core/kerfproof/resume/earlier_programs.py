"""What a resumed program says of the one it goes on with, and what was cut before it by that."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from kerfproof.cut_plan import Cut, Point
from kerfproof.errors import KerfproofError
from kerfproof.geom.path import Path
from kerfproof.resume.first_program import FirstProgram
from kerfproof.resume.resume_point import Split

_WORDS = re.compile(
    r"(?P<name>.+) (?P<digest>[0-9a-f]+) cuts (?P<cuts>\d+(?: \d+)*)"
    r"(?:, cut (?P<partly>\d+) from (?P<at>\d+(?:\.\d+)?) mm on)?(?:, never (?P<never>\d+(?: \d+)*))?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GoesOn:
    """The first program by name and digest, and which of its cuts (from 1) are `wanted` in the resumed one.

    Cut `partly` got `at` mm far in the first program. `never` are cuts that ran cold and can no longer be made.
    """

    name: str
    digest: str
    wanted: tuple[int, ...]
    partly: int | None = None
    at: float = 0.0
    never: tuple[int, ...] = ()

    def words(self) -> str:
        """Return it as it stands in the heading of the resumed program."""
        partly = "" if self.partly is None else f", cut {self.partly} from {self.at:.3f} mm on"
        never = f", never {_list(self.never)}" if self.never else ""
        return f"{self.name} {self.digest} cuts {_list(self.wanted)}{partly}{never}"


def goes_on(name: str, digest: str, parted: Split, never: tuple[int, ...]) -> GoesOn:
    """Return what a resumed program says of the first one; `never` are cuts from 0."""
    return GoesOn(
        name=name,
        digest=digest,
        wanted=tuple(k + 1 for k in parted.wanted),
        partly=None if parted.partly is None else parted.partly + 1,
        at=parted.at if parted.partly is not None else 0.0,
        never=tuple(k + 1 for k in never),
    )


def read_goes_on(words: str) -> GoesOn | None:
    """Return what the heading of a resumed program says; None if it is empty or damaged."""
    found = _WORDS.fullmatch(words)
    if found is None:
        return None
    return GoesOn(
        name=found["name"],
        digest=found["digest"],
        wanted=_numbers(found["cuts"]),
        partly=int(found["partly"]) if found["partly"] else None,
        at=float(found["at"] or 0.0),
        never=_numbers(found["never"] or ""),
    )


def cut_before(first: FirstProgram, said: GoesOn) -> tuple[Cut, ...]:
    """Return what the first program had cut when the resumed one was written.

    Raises
    ------
    KerfproofError
        If the first program has no such cuts.
    """
    count = len(first.cuts)
    for number in (*said.wanted, *said.never, *([] if said.partly is None else [said.partly])):
        if not 1 <= number <= count:
            raise KerfproofError(
                f"the heading speaks of cut {number} of {said.name}, which has {count}",
                advice="write the resumed program again",
            )
    gone = {*said.wanted, *said.never}
    partly = None if said.partly is None else said.partly - 1
    return made(first, tuple(k for k in range(count) if k + 1 not in gone), partly, said.at)


def made(first: FirstProgram, done: tuple[int, ...], partly: int | None, at: float) -> tuple[Cut, ...]:
    """Return the cuts `done` (from 0), and what there is of cut `partly`."""
    cuts = [first.cuts[k] for k in done]
    if partly is not None:
        cuts.append(cut_along(first.cuts[partly], first.line(partly).part(0.0, at)))
    return tuple(cuts)


def ring_of(cut: Cut) -> Path | None:
    """Return the contour of a cut as a closed path, None if it closes nowhere."""
    contour = cut.contour
    if contour.closed or np.abs(contour.start - contour.end).max() > 1e-6:
        return contour if contour.closed else None
    return Path(contour.vertices[:-1], True)


def cut_along(cut: Cut, contour: Path, pierce: Point | None = None, lead: Path | None = None) -> Cut:
    """Return a cut that follows only `contour`, from another pierce and by another lead if they are given."""
    return Cut(
        feature=cut.feature,
        kind=cut.kind,
        part=cut.part,
        label=cut.label,
        pierce=pierce or cut.pierce,
        contour=contour,
        lead_in=lead,
        feed_mm_min=cut.feed_mm_min,
        kerf=cut.kerf,
    )


def _list(numbers: tuple[int, ...]) -> str:
    return " ".join(map(str, numbers))


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(int(word) for word in text.split())
