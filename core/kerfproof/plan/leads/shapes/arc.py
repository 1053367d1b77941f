"""A tangential quarter arc."""

from __future__ import annotations

import math

from kerfproof.geom.path import Floats
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.leads.lead import Lead, Starts, least_reach
from kerfproof.shop.chart import Process


def _size(process: Process, choice: LeadChoice, width: float, slot: bool) -> float:
    radius = process.lead_radius if choice.radius is None else choice.radius
    # In a slot from its center line; in a round hole at most half the radius of its path.
    return width / 2 if slot else min(max(radius, least_reach(process)), width / 4)


def _draw(starts: Starts, size: Floats) -> tuple[Floats, Floats]:
    pierce = starts.at + size[:, None] * (starts.scrap - starts.along)
    return pierce, starts.turn * math.tan(math.pi / 8)


LEAD = Lead(
    title="tangential quarter arc",
    kinds=(FeatureKind.OUTLINE, FeatureKind.HOLE),
    size=_size,
    draw=_draw,
    rank=0.5,
    slot_rank=-0.5,
)
