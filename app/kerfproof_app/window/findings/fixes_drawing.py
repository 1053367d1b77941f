"""Fixes of what was drawn: gaps, layers, line types, page frames, units. Each is an edit of the job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from kerfproof.errors import Finding
from kerfproof.job.job import ContourRole, Job
from kerfproof.outcome import Outcome
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.parts.model.part import Feature
from kerfproof_app.window.findings.fix import Fix, lower, offer
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work.job_edits import with_rule

WIDEST_GAP = 2.0
"""Gaps beyond this many mm are no slips of the hand; they are closed in the drawing."""


def join(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to join gaps as wide as this one, up to `WIDEST_GAP`."""
    gap = finding.size
    if gap is None or not job.join_tolerance < gap <= WIDEST_GAP:
        return
    allowed = ceil(gap * 101) / 100
    label = tr("Join gaps up to {gap} mm").format(gap=f"{allowed:g}")
    yield offer(job, label, join_tolerance=allowed)


def ignore_layer(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to ignore each layer that the finding is about."""
    for layer in _layers(finding, outcome):
        label = tr("Ignore layer {layer}").format(layer=layer)
        yield Fix(label, lower(label), with_rule(job, "layer", layer, "ignore"))


def cut_layer(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to cut a layer that is ignored."""
    if finding.layer:
        label = tr("Cut layer {layer} all the same").format(layer=finding.layer)
        yield Fix(label, lower(label), with_rule(job, "layer", finding.layer, "cut"))


def _layers(finding: Finding, outcome: Outcome | None) -> list[str]:
    if finding.layer:
        return [finding.layer]
    if outcome is None or not finding.handle:
        return []
    handles = set(finding.handle.split("/"))
    found = (e.layer for drawing in outcome.drawings for e in drawing.entities if e.handle in handles)
    return list(dict.fromkeys(found))


def slit_it(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to cut an open line as a slit, or to ignore it."""
    if finding.x is not None and finding.y is not None and len(job.drawings) == 1:
        yield from _as_role(job, job.drawings[0].name, finding.x, finding.y, "slit", tr("Cut this line as a slit"))
        yield from _as_role(job, job.drawings[0].name, finding.x, finding.y, "ignore", tr("Ignore this line"))


def ignore_contour(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to leave the feature out."""
    feature = _feature(finding, outcome)
    if feature is None or outcome is None or len(job.drawings) != 1 or job.drawings[0].count != 1:
        return
    x, y = (float(v) for v in feature.contour.path.start)
    dx, dy = outcome.shift
    name = job.drawings[0].name
    label = tr("Leave {label} out").format(label=feature.label)
    yield from _as_role(job, name, x - dx, y - dy, "ignore", label)


def _as_role(job: Job, drawing: str, x: float, y: float, role: str, label: str) -> Iterator[Fix]:
    if job.drawings[0].turn_deg or job.drawings[0].mirror:
        return
    rule = ContourRole(drawing=drawing, x=round(x, 4), y=round(y, 4), role=role)
    yield offer(job, label, contour_roles=(*job.contour_roles, rule))


def _feature(finding: Finding, outcome: Outcome | None) -> Feature | None:
    if outcome is None or not finding.handle:
        return None
    handles = set(finding.handle.split("/"))
    return next((f for f in outcome.parts.features if handles & set(f.contour.handles)), None)


def units(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to read a drawing in another unit."""
    for k, use in enumerate(job.drawings):
        for name, size in ((tr("millimetres"), 1.0), (tr("inches"), 25.4)):
            drawings = (*job.drawings[:k], replace(use, mm_per_unit=size), *job.drawings[k + 1 :])
            label = tr("Read {drawing} as {unit}").format(drawing=use.name, unit=name)
            yield offer(job, label, drawings=drawings)


def page(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to leave a page frame out, or to cut it."""
    yield offer(job, tr("Leave the page frame out"), page=PageFrames.IGNORE)
    yield offer(job, tr("Cut this rectangle as an outline"), page=PageFrames.CUT)


def cut_line_type(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to cut what its line type kept from being cut."""
    yield from _line_type(finding, job, outcome, "cut", tr("Cut line type {0} all the same"))


def ignore_line_type(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to ignore what is cut although it is drawn dashed."""
    yield from _line_type(finding, job, outcome, "ignore", tr("Ignore line type {0}"))


def _line_type(finding: Finding, job: Job, outcome: Outcome | None, role: str, words: str) -> Iterator[Fix]:
    if outcome is None or not finding.handle:
        return
    entities = (e for drawing in outcome.drawings for e in drawing.entities)
    name = next((e.linetype for e in entities if e.handle == finding.handle), "")
    if name:
        label = words.format(name)
        yield Fix(label, lower(label), with_rule(job, "linetype", name, role))


def bridges(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to hold the middles of stencils."""
    if not job.bridges:
        yield offer(job, tr("Hold each middle by two bridges"), bridges=True)


def mark_points(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to mark points for the drill."""
    yield offer(job, tr("Mark them for the drill by short pierces"), drill_marks=DrillKind.PIERCE)
    yield offer(job, tr("Mark them for the drill by small crosses"), drill_marks=DrillKind.CROSS)


def forget_role(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to forget a role that fits no contour any more."""
    kept = tuple(role for role in job.contour_roles if (role.x, role.y) != (finding.x, finding.y))
    yield offer(job, tr("Forget this choice"), tr("forget a lost choice"), contour_roles=kept)


def forget_order(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to forget the order by hand."""
    yield offer(job, tr("Let the order be chosen again"), tr("choose the order again"), sequence=())
