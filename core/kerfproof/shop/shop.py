"""What the shop has for a job: its machine and its cut chart."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof.shop.chart import CutChart
from kerfproof.shop.profile import Machine


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has for this job, already found and read."""

    machine: Machine
    chart: CutChart
    tip_used: float = 0.0
    """Share of the tip's life that is gone when the job begins."""
