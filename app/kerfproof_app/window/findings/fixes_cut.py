"""Fixes of the cut: small holes, leads, plate, current, rests. Each is an edit of the job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.job.job import Job, Origin, Pin, Rests, SmallHoles
from kerfproof.outcome import Outcome
from kerfproof.shop.chart import PierceRating, Process
from kerfproof_app.shop.load_shop import chart_named
from kerfproof_app.window.findings.fix import Fix, offer
from kerfproof_app.window.widgets.words import tr

_REACH = 15.0
"""How far from a finding on a lead the start chosen by hand may lie that it belongs to, mm."""
_SHORTER = 2 / 3


def small_holes(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to leave small holes to the drill, or to cut them all the same."""
    yield offer(job, tr("Leave small holes to the drill"), small_holes=SmallHoles.DRILL)
    yield offer(job, tr("Cut small holes, rough"), small_holes=SmallHoles.ROUGH)


def small_holes_left(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer the same where a hole that was too small is missed in the end."""
    if outcome is not None and any(f.rule == "hole-too-small" for f in outcome.findings):
        yield from small_holes(finding, job, outcome)


def leave_out(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to leave out what can't be cut and to cut the rest."""
    if finding.severity is Severity.ERROR and not job.leave_out:
        yield offer(job, tr("Leave out what can't be cut"), leave_out=True)


def unpin(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer to forget the start by hand that lies near the finding."""
    if finding.x is None or finding.y is None or not job.pins:
        return
    shifts = [(0.0, 0.0)] + ([outcome.shift] if outcome is not None else [])

    def off(pin: Pin) -> float:
        return min(hypot(pin.x + dx - finding.x, pin.y + dy - finding.y) for dx, dy in shifts)  # type: ignore[operator]

    nearest = min(job.pins, key=off)
    if off(nearest) <= _REACH:
        kept = tuple(pin for pin in job.pins if pin is not nearest)
        yield offer(job, tr("Let this lead be chosen again"), tr("choose the lead again"), pins=kept)


def shorter_leads(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer leads two thirds as long."""
    if outcome is None:
        return
    process = outcome.process
    radius, straight = (round(v * _SHORTER, 2) for v in (process.lead_radius, process.lead_straight))
    leads = replace(job.leads, radius=radius, straight=straight)
    label = tr("Try shorter leads ({radius} and {straight} mm)").format(radius=f"{radius:g}", straight=f"{straight:g}")
    yield offer(job, label, tr("shorter leads"), leads=leads)


def plate(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer a plate that fits, and zero at its corner."""
    if job.plate is not None:
        yield offer(job, tr("Let the plate fit the parts"), tr("fit the plate to the parts"), plate=None)
    if job.origin is Origin.DRAWING:
        done = tr("zero at the plate's corner")
        yield offer(job, tr("Put zero at the plate's corner"), done, origin=Origin.CORNER)


def other_current(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer the currents at which the chart pierces this plate more willingly."""
    if outcome is None:
        return
    try:
        rows = chart_named(job.chart).rows
    except KerfproofError:
        return
    now = outcome.process
    for row in rows:
        alike = row.material == now.material and abs(row.thickness - now.thickness) < 1e-6
        if alike and row.amps <= outcome.machine.max_amps and _rank(row) < _rank(now):
            label = tr("Cut at {current} A").format(current=f"{row.amps:g}")
            yield offer(job, label, amps=row.amps)


def _rank(row: Process) -> int:
    return list(PierceRating).index(row.pierce)


def chart_feed(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer the chart's feed instead of the person's."""
    if job.feed_mm_min is not None:
        yield offer(job, tr("Take the feed of the chart"), tr("the feed of the chart"), feed_mm_min=None)


def chart_current(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer the chart's current instead of the person's."""
    if job.amps is not None:
        yield offer(job, tr("Let the chart choose the current"), tr("the current of the chart"), amps=None)


def rests(finding: Finding, job: Job, outcome: Outcome | None) -> Iterator[Fix]:
    """Offer rests between two cuts."""
    yield offer(job, tr("Stop between two cuts for a rest"), rests=Rests.STOP)
    yield offer(job, tr("Let the program rest by itself"), rests=Rests.DWELL)
