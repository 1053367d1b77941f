"""Chains of the drawings that are not cut as things stand: left open, refused, or ignored. No Qt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from kerfproof.geom.path import Path
from kerfproof.job.job import Job
from kerfproof_app.work.job_edits import with_roles_at

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome

KINDS = ("open", "refused", "ignored")


@dataclass(frozen=True, slots=True)
class UncutChain:
    """One chain that is not cut; `kind` is one of `KINDS`, `path` lies in plate coordinates."""

    kind: str
    path: Path
    layer: str
    drawing: str
    at: tuple[float, float]
    """A place on it in the drawing's own coordinates, mm."""


def uncut_of(outcome: Outcome) -> tuple[UncutChain, ...]:
    """Return what is not cut of every copy of every drawing, always in the same order."""
    from kerfproof.job.placing import turn_matrix

    found = []
    for copy in outcome.copies:
        use, contours = outcome.job.drawings[copy.use], outcome.contours[copy.use]
        open_ones = [c for c in contours.open if c.role == "cut"]
        back = turn_matrix(use).T
        for kind, chains in zip(KINDS, (open_ones, contours.refused, contours.aside), strict=True):
            for chain in chains:
                x, y = (back @ chain.path.segments().points(np.array([0]), np.array([0.5]))[0]).tolist()
                at = (round(x, 6), round(y, 6))
                found.append(UncutChain(kind, chain.path.moved(*copy.shift), chain.layer, use.name, at))
    return tuple(found)


def with_role(job: Job, chains: Iterable[UncutChain], role: str) -> Job:
    """Return the job in which chains have a role: cut, mark, slit or ignore."""
    return with_roles_at(job, [(chain.drawing, *chain.at) for chain in chains], role)
