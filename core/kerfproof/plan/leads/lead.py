"""Lead shapes: how the torch gets from the pierce to the start of the contour, through scrap.

A lead is one line or arc, drawn for many starts at once. Each file in `leads` defines one shape as ``LEAD``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from kerfproof.geom.path import Floats, Path
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.registry import load_folder
from kerfproof.shop.chart import Process


@dataclass(frozen=True, slots=True, eq=False)
class Starts:
    """Places where contours begin, as arrays of length m.

    `at` (m, 2) the start; `along` (m, 2) the unit direction in which the contour leaves it; `scrap` (m, 2) the
    unit normal towards the scrap.
    """

    at: Floats
    along: Floats
    scrap: Floats

    @property
    def turn(self) -> Floats:
        """1 where scrap lies left of travel, -1 where right (m,)."""
        cross: Floats = self.along[:, 0] * self.scrap[:, 1] - self.along[:, 1] * self.scrap[:, 0]
        return cross


class Draw(Protocol):
    """Draws leads: pierce points (m, 2) and the bulge (m,) of the one segment from pierce to start."""

    def __call__(self, starts: Starts, size: Floats) -> tuple[Floats, Floats]:
        """Return pierce points and bulges for `starts` with a size (mm) each."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """One lead shape.

    `size` gives the full size in mm for a process, the person's choice, the width (mm) of the kerf path inside a hole
    (infinite for outlines) and whether the pierce has to lie on the center line of a slot; `shares` are the sizes
    tried, full first. `tangent` says whether the lead meets the contour in its direction. `corner` shapes begin at
    outside corners between two straight edges and nowhere else. `rank` is added to the score of a start, in slots
    `slot_rank`: lower is tried first.
    """

    title: str
    kinds: tuple[FeatureKind, ...]
    size: Callable[[Process, LeadChoice, float, bool], float]
    draw: Draw
    rank: float
    slot_rank: float
    shares: tuple[float, ...] = (1.0, 0.85, 0.7, 0.55)
    tangent: bool = True
    corner: bool = False


def least_reach(process: Process) -> float:
    """Return how far (mm) from the kerf path a pierce must lie at least, so that its crater spoils no kept edge."""
    return process.crater_radius + 0.5 - process.kerf / 2


def lead_shapes() -> dict[str, Lead]:
    """Return all lead shapes by name, in alphabetical order."""
    found = load_folder("kerfproof.plan.leads.shapes", "LEAD")
    return {name: lead for name, lead in found.items() if isinstance(lead, Lead)}


def lead_path(pierce: tuple[float, float], bulge: float, at: tuple[float, float]) -> Path:
    """Return the lead from the pierce to the start of the contour."""
    return Path.trusted(np.array([(*pierce, bulge), (*at, 0.0)]), False)
