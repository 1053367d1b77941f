"""The first edge of an outline, extended backward through an outside corner: the cleanest start of a polygon."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.path import Floats
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.leads.lead import Lead, Starts
from kerfproof.shop.chart import Process


def _size(process: Process, choice: LeadChoice, width: float, slot: bool) -> float:
    length = process.lead_straight if choice.straight is None else choice.straight
    return max(length, process.crater_radius + 0.5)


def _draw(starts: Starts, size: Floats) -> tuple[Floats, Floats]:
    return starts.at - size[:, None] * starts.along, np.zeros(len(size))


LEAD = Lead(
    title="along the extended first edge through an outside corner",
    kinds=(FeatureKind.OUTLINE,),
    size=_size,
    draw=_draw,
    rank=-1.0,
    slot_rank=-1.0,
    corner=True,
)
