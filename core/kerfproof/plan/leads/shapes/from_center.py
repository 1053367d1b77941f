"""A half circle that meets the contour in its direction, in a small hole from the very centre.

A straight way out from the centre would meet the contour square and leave a notch. In a hole the half circle's
radius is half that of the path, but never above the lead radius of the process: a large hole needs no start at
its centre.
"""

from __future__ import annotations

from kerfproof.geom.path import Floats
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.leads.lead import Lead, Starts
from kerfproof.shop.chart import Process


def _size(process: Process, choice: LeadChoice, width: float, slot: bool) -> float:
    radius = process.lead_radius if choice.radius is None else choice.radius
    return width / 4 if slot else min(radius, width / 4)


def _draw(starts: Starts, size: Floats) -> tuple[Floats, Floats]:
    return starts.at + (2 * size)[:, None] * starts.scrap, starts.turn


LEAD = Lead(
    title="half circle from the center of a hole",
    kinds=(FeatureKind.HOLE,),
    size=_size,
    draw=_draw,
    rank=0.0,
    slot_rank=0.0,
    shares=(1.0, 0.85, 0.7, 0.55, 0.45, 0.35),
)
