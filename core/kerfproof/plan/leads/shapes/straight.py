"""A straight line that meets the contour at 45 degrees: the last resort, as it leaves a small notch."""

from __future__ import annotations

import math

import numpy as np

from kerfproof.geom.path import Floats
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.leads.lead import Lead, Starts, least_reach
from kerfproof.shop.chart import Process


def _size(process: Process, choice: LeadChoice, width: float, slot: bool) -> float:
    length = process.lead_straight if choice.straight is None else choice.straight
    return width * math.sqrt(0.5) if slot else min(max(length, least_reach(process) / math.sqrt(0.5)), width / 2)


def _draw(starts: Starts, size: Floats) -> tuple[Floats, Floats]:
    slant = math.sqrt(0.5)
    return starts.at + (size * slant)[:, None] * (starts.scrap - starts.along), np.zeros(len(size))


LEAD = Lead(
    title="straight at 45 degrees",
    kinds=(FeatureKind.OUTLINE, FeatureKind.HOLE),
    size=_size,
    draw=_draw,
    rank=3.0,
    slot_rank=3.0,
    tangent=False,
)
