"""Programs without an arc compared with the drawing: the dry path as cuts, the tour's stops, the frame's box."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Floats
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare import placement
from kerfproof.proof.compare.compare import compare
from kerfproof.proof.compare.sizes import drawn_as
from kerfproof.proof.compare.tabs import bridged, excused
from kerfproof.proof.evidence.evidence import Against, Evidence
from kerfproof.proof.evidence.kept_metal import Kept, kept_of
from kerfproof.sentence import Phrase, mm, say

LEAD = 60.0
"""A pierce lies at most so far from the edge that is cut from it, mm."""
TIGHT = 0.05
"""The frame may lie this much (mm) inside the box of the cuts: numbers are rounded."""
ROOM = 60.0
"""The frame reaches at most so far beyond the drawing: leads and starts lie in it, mm."""
NOT_COMPARED = Finding(
    "not-compared",
    Severity.NOTE,
    "not compared with the drawing: where it lies, or the kerf of each hole, is not known here",
    "prove the program that cuts, too",
)
Gathered = Callable[[Trace, Against], Evidence]


def raised_findings(
    trace: Trace,
    against: Against,
    drawn: tuple[Contour, ...],
    gathered: Gathered,
) -> list[Finding]:
    """Return how a program without an arc differs from what is drawn."""
    if against.mode == "dry":
        return _dry(trace, against, drawn, gathered)
    if not against.placed or against.process is None:
        return [NOT_COMPARED]
    kept, half = kept_of(drawn), against.process.kerf / 2
    return [*(_frame(trace, kept, half) if against.mode == "frame" else _tour(trace, kept))]


def _dry(
    trace: Trace,
    against: Against,
    drawn: tuple[Contour, ...],
    gathered: Gathered,
) -> list[Finding]:
    """Compare the path at travel feed as if the torch were on."""
    process = against.process
    if process is None or process.hole_kerf is not None:
        return [NOT_COMPARED]  # which holes are slowed, so that they get another kerf, a dry run does not say
    lit = replace(trace, torch=np.isin(trace.kind, (Step.FEED, Step.ARC)))
    asked = replace(against, mode="cut", drawn=drawn, tabs=(), one_plate=True)
    evidence = gathered(lit, asked)
    if not evidence.runs:
        return [_lacking("the whole cut is missing: nothing moves along the drawing")]
    laid = placement.laid_down(evidence, asked)
    tabs, no_tabs = excused(against.tabs, evidence)
    evidence = gathered(bridged(lit, tabs, process.feed_mm_min), laid.against)
    if evidence.kept is None or evidence.swept is None:
        return [NOT_COMPARED]
    compared = compare(evidence, evidence.kept, evidence.swept)
    if placement.nowhere(laid.sheets, compared):
        return [placement.NOT_FOUND]
    return [*placement.told(laid.sheets), *compared.findings, *no_tabs]


def _tour(trace: Trace, kept: Kept) -> Iterator[Finding]:
    """Tell features that no stop of a tour stands by, each with a stop of its own in the scrap beside it."""
    origin = np.array(trace.xy_origin)
    rows = np.flatnonzero(np.isin(trace.kind, (Step.STOP, Step.OPTIONAL_STOP)))
    stops = np.unique((trace.end[rows, :2] - origin).round(3), axis=0)
    holder = _scrap_of(kept, stops)
    free = list(range(len(stops)))
    for contour in np.argsort(-kept.depth, kind="stable").tolist():
        scrap = contour if kept.depth[contour] % 2 else int(kept.parent[contour])
        mine = [k for k in free if holder[k] == scrap]
        if mine:
            edges = kept.edges.take(kept.edges.owner == contour)
            away, _ = nearest(stops[mine], edges, np.inf)
            if away.min() <= LEAD or scrap == contour:
                free.remove(mine[int(away.argmin())])
                continue
        x, y = kept.contours[contour].path.start
        yield _lacking(
            say("the tour stops at no pierce of the {name}", name=drawn_as(kept, contour).name), float(x), float(y)
        )


def _scrap_of(kept: Kept, points: Floats) -> list[int]:
    """Return for each point the hole whose scrap it lies in, -1 for the scrap outside all parts, -2 in metal."""
    out = [-1] * len(points)
    depth = [-1] * len(points)
    if len(points):
        at, contour = kept.region.containers(points)
        for k, c in zip(at.tolist(), contour.tolist(), strict=True):
            if kept.depth[c] > depth[k]:
                depth[k] = int(kept.depth[c])
                out[k] = c if kept.depth[c] % 2 else -2
    return out


def _frame(trace: Trace, kept: Kept, half: float) -> Iterator[Finding]:
    """Tell a frame that does not go round the drawing."""
    moves = np.isin(trace.kind, (Step.RAPID, Step.FEED, Step.ARC))
    stops = np.flatnonzero(np.isin(trace.kind, (Step.STOP, Step.OPTIONAL_STOP, Step.FEED)) | moves)
    points = trace.end[stops, :2] - np.array(trace.xy_origin)
    boxes = np.array([contour.path.bounds() for contour in kept.contours])
    low, high = boxes[:, :2].min(axis=0) - half, boxes[:, 2:].max(axis=0) + half
    if not len(points):
        yield _lacking("the frame does not move")
        return
    inside = np.concatenate([points.min(axis=0) - low, high - points.max(axis=0)])
    if inside.max() > TIGHT:
        yield _lacking(
            say("the frame lies {away} inside what is cut: it shows too small a box", away=mm(inside.max(), ".1f"))
        )
    elif inside.min() < -ROOM:
        message = say("the frame reaches {away} beyond what is drawn", away=mm(-inside.min(), ".0f"))
        yield Finding("raised-path-differs", Severity.WARNING, message, "look whether it is of this drawing")


def _lacking(message: Phrase, x: float | None = None, y: float | None = None) -> Finding:
    return Finding("raised-path-differs", Severity.ERROR, message, "write it again from the drawing", None, x, y)
