"""The drawings that a program is compared with: which of those at hand is which of those its heading names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from kerfproof import api
from kerfproof.programs.read_header import DrawingClaim
from kerfproof_app.shop import store


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A drawing that a program is to be compared with. `mm_per_unit` overrules what heading and file say."""

    name: str
    data: bytes
    mm_per_unit: float | None = None

    def is_of(self, claim: DrawingClaim) -> bool:
        """Return whether it is the drawing of a claim, or a later state of it: what is claimed holds for it, too."""
        return Path(self.name).name == Path(claim.name).name or api.digest(self.data) == claim.digest


def given_for(claims: Sequence[DrawingClaim], given: Sequence[Given], folder: Path | None) -> list[Given | None]:
    """Return the drawing of each claim: the same bytes, else the same name, else what is left over in order.

    A claim for which nothing was given gets the drawing of its name in `folder`, None if there is none.
    """
    wanted = list(dict.fromkeys((claim.name, claim.digest) for claim in claims))
    by_digest = {api.digest(one.data): one for one in given}
    found = {key: by_digest[key[1]] for key in wanted if key[1] in by_digest}
    rest = [one for one in given if not any(one is taken for taken in found.values())]
    for key in wanted:
        same = next((one for one in rest if Path(one.name).name == Path(key[0]).name), None)
        if key not in found and same is not None:
            found[key] = same
            rest.remove(same)
    for key, one in zip([key for key in wanted if key not in found], rest, strict=False):
        found[key] = one
    return [found.get((claim.name, claim.digest)) or _beside(claim.name, folder) for claim in claims]


def _beside(name: str, folder: Path | None) -> Given | None:
    beside = None if folder is None else folder / Path(name).name
    if beside is None or not beside.is_file():
        return None
    return Given(name=beside.name, data=store.read_bytes(beside))
