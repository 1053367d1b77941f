"""The drawings that a program is compared with: which of those at hand is which of those its heading names."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kerfproof.job.write_header import digest
from kerfproof.programs.read_header import DrawingClaim


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingAtHand:
    """A drawing that a program is to be compared with. `mm_per_unit` overrules what heading and file say."""

    name: str
    data: bytes
    mm_per_unit: float | None = None

    def is_of(self, claim: DrawingClaim) -> bool:
        """Return whether it is the drawing of a claim, or a later state of it: what is claimed holds for it, too."""
        return file_name(self.name) == file_name(claim.name) or digest(self.data) == claim.digest


FindDrawing = Callable[[str], DrawingAtHand | None]
"""Looks for a drawing that a heading names and nobody gave."""


def no_drawing(name: str) -> DrawingAtHand | None:
    """Find none."""
    return None


def matched(
    claims: Sequence[DrawingClaim], given: Sequence[DrawingAtHand], find: FindDrawing
) -> list[DrawingAtHand | None]:
    """Return the drawing of each claim: the same bytes, else the same name, else what is left over in order.

    A claim for which nothing was given gets the drawing that is found under its name, None if there is none.
    """
    wanted = list(dict.fromkeys((claim.name, claim.digest) for claim in claims))
    by_digest = {digest(one.data): one for one in given}
    found = {key: by_digest[key[1]] for key in wanted if key[1] in by_digest}
    rest = [one for one in given if not any(one is taken for taken in found.values())]
    for key in wanted:
        same = next((one for one in rest if file_name(one.name) == file_name(key[0])), None)
        if key not in found and same is not None:
            found[key] = same
            rest.remove(same)
    for key, one in zip([key for key in wanted if key not in found], rest, strict=False):
        found[key] = one
    return [found.get((claim.name, claim.digest)) or find(file_name(claim.name)) for claim in claims]


def file_name(path: str) -> str:
    """Return the last part of a path of either kind."""
    return path.replace("\\", "/").rstrip("/").rpartition("/")[2]
