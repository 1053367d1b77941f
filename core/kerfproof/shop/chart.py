"""The cut chart: one `Process` per material, thickness and current."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum


class PierceRating(StrEnum):
    """Whether a row may pierce."""

    YES = "yes"
    LIMIT = "limit"
    LAST_RESORT = "last resort"
    NO = "no"
    """Edge start or drilled start only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Process:
    """One row of a cut chart. Lengths mm, feed mm/min, times s."""

    material: str
    thickness: float
    amps: float
    feed_mm_min: float
    kerf: float
    cut_height: float
    pierce_height: float = 0.0
    """0: no stop at a pierce height."""
    pierce_delay_s: float = 0.0
    """From arc lit to through."""
    pierce: PierceRating = PierceRating.YES
    min_hole: float
    """Smallest hole diameter worth cutting."""
    lead_radius: float
    lead_straight: float
    starts_per_tip: int = 0
    hole_kerf: float | None = None
    """Kerf of slowed holes when measured; None: as `kerf`."""
    hole_feed_share: float = 0.6
    hole_over_burn: float | None = None
    """Over-burn of holes that closes best when measured; None: by thickness."""
    air: str = ""
    """Air pressure while it flows, in the words of the chart's owner."""
    consumables: str = ""
    """Tip, electrode and the like, in the words of the chart's owner."""
    source: str = ""
    """Where the values come from, one line."""
    estimated: bool = False
    """Whether the row was worked out from measured rows."""

    # Numbers that follow from the row. Common practice, from memory, no source.

    @property
    def crater_radius(self) -> float:
        """Rc: radius round a pierce that spatter and blow-back spoil."""
        return max(1.5 * self.kerf, 1.0 + 0.5 * self.thickness)

    @property
    def worn_kerf(self) -> float:
        """The kerf of a worn tip, a quarter wider; clearances are checked with it."""
        return 1.25 * self.kerf

    @property
    def melt_radius(self) -> float:
        """Radius round a pierce within which the plate melts away; beyond it, up to the crater, lies only spatter."""
        return 1.25 * self.kerf

    @property
    def least_width(self) -> float:
        """Narrower holes and slots are never cut: the second side would run beside the open kerf of the first."""
        return max(self.thickness, 2.5 * self.kerf)

    @property
    def slow_hole_below(self) -> float:
        """Holes under this diameter are cut at one lower feed."""
        return max(4.0 * self.thickness, 15.0)

    @property
    def over_burn_outline(self) -> float:
        """How far an outline runs on over its start."""
        return max(1.0, 0.25 * self.thickness)

    @property
    def over_burn_hole(self) -> float:
        """How far a hole runs on over its start."""
        return max(1.0, 0.2 * self.thickness) if self.hole_over_burn is None else self.hole_over_burn

    @property
    def lead_out(self) -> float:
        """Length of the lead-out of an outline after its over-burn."""
        return max(2.0, 0.5 * self.thickness)

    @property
    def web(self) -> float:
        """Least metal between two cuts."""
        return max(1.5 * self.thickness, 2.5 * self.kerf, 3.0)

    @property
    def part_gap(self) -> float:
        """Distance between parts: room for one lead, whose spatter stays off the neighbor.

        6 / 8 / 11 / 13 mm at 1.5 / 3 / 6 / 8 mm plate, never under 5 (a job-shop guideline).
        """
        return max(5.0, self.kerf / 2 + self._lead + self.crater_radius + 0.5, self.web)

    @property
    def plate_margin(self) -> float:
        """Least distance of kept metal from the edge of the plate."""
        return max(8.0, self.crater_radius + self._lead + self.kerf + 3.0)

    @property
    def _lead(self) -> float:
        return max(self.lead_radius, self.lead_straight)

    def hole_feed(self, path_radius: float, acceleration_mm_s2: float) -> float:
        """Return the one feed of a slowed hole: a share of the chart's, capped by 0.7 sqrt(a r) of its path."""
        steady = 0.7 * math.sqrt(acceleration_mm_s2 * max(path_radius, 0.0)) * 60.0
        return min(self.hole_feed_share * self.feed_mm_min, steady)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutChart:
    """A named set of rows."""

    name: str
    title: str = ""
    note: str = ""
    rows: tuple[Process, ...]
