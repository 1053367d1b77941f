"""The chart row that a job is cut with: what the person set otherwise, and what looks like a slip."""

from __future__ import annotations

from dataclasses import replace
from typing import NoReturn

from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.job.job import Job
from kerfproof.sentence import Phrase, mm, mm_min, say
from kerfproof.shop.chart import CutChart, Process
from kerfproof.shop.material import material_key
from kerfproof.shop.profile import Machine
from kerfproof.shop.select_process import select_process

FAR_KERF, SLOW_FEED, FAST_FEED, SHORT_DELAY = 1.6, 2.0, 1.5, 2.0
"""A kerf or feed off the chart's by more than this factor looks like a slip; the chart itself is good to 30 %."""


MOST_KERF = 5.0
"""No torch cuts a slot this many times as wide as the chart says, or as narrow."""
MOST_DELAY_S = 60.0
MOST_LEAD = 200.0
"""Longer leads than this (mm) no plate has room for."""


def check_values(job: Job, row: Process, process: Process, machine: Machine) -> None:
    """Raise KerfproofError if a value that the person set otherwise than the chart's `row` can't be cut with."""
    if not row.kerf / MOST_KERF <= process.kerf <= row.kerf * MOST_KERF:
        _refuse(
            say(
                "a kerf of {kerf} can't be: the chart says {usual} for this plate",
                kerf=mm(process.kerf, "~3"),
                usual=mm(row.kerf, "~3"),
            )
        )
    if job.feed_mm_min is not None and job.feed_mm_min > machine.rapid_mm_min:
        _refuse(
            say(
                "a feed of {feed} is more than {name} can move ({most})",
                feed=mm_min(job.feed_mm_min),
                name=machine.name,
                most=mm_min(machine.rapid_mm_min),
            )
        )
    if job.pierce_delay_s is not None and job.pierce_delay_s > MOST_DELAY_S:
        _refuse(f"a pierce delay of {job.pierce_delay_s:g} s is more than {MOST_DELAY_S:g} s")
    for size in (job.leads.radius, job.leads.straight, *(pin.size for pin in job.pins)):
        check_lead(size)


def check_lead(size: float | None) -> None:
    """Raise KerfproofError if a lead of this size (mm) fits on no plate."""
    if size is not None and size > MOST_LEAD:
        _refuse(say("a lead of {size} is more than {most}", size=mm(size, "~3"), most=mm(MOST_LEAD, "~3")))


def _refuse(what: Phrase) -> NoReturn:
    raise KerfproofError(what, advice="check the value and its unit")


def process_of(job: Job, chart: CutChart, machine: Machine) -> Process:
    """Return the chart row of the job with what the person set otherwise."""
    return as_set(job, select_process(chart, job.material, job.thickness, job.amps, machine))


def as_set(job: Job, row: Process) -> Process:
    """Return a row of the chart with what the person set otherwise."""
    changes: dict[str, float] = {}
    if job.kerf is not None:
        changes["kerf"] = job.kerf
    if job.feed_mm_min is not None:
        changes["feed_mm_min"] = job.feed_mm_min
    if job.pierce_delay_s is not None:
        changes["pierce_delay_s"] = job.pierce_delay_s
    if job.leads.radius is not None:
        changes["lead_radius"] = job.leads.radius
    if job.leads.straight is not None:
        changes["lead_straight"] = job.leads.straight
    return replace(row, **changes) if changes else row  # type: ignore[arg-type]


def process_notes(process: Process) -> tuple[Finding, ...]:
    """Return a note where the chart row was worked out between measured ones, and a warning of a zinc coating."""
    found = []
    if material_key(process.material) == "galvanised steel":
        zinc = "this plate is coated with zinc: its fume makes you sick, and the arc spatters more at the pierce"
        advice = "strip or grind the coating along the cuts, draw the fume off at the cut, and follow your local codes"
        found.append(Finding("zinc-coated", Severity.WARNING, zinc, advice))
    if process.estimated:
        what = say(
            "the chart has no measured row for {thickness}: {source}",
            thickness=mm(process.thickness, "g"),
            source=process.source,
        )
        found.append(Finding("process-estimated", Severity.NOTE, what, "cut a test piece before a good sheet"))
    return tuple(found)


def far_from_chart(process: Process, row: Process) -> list[Finding]:
    """Return a warning for each value that the chart makes look like a slip, an error for a kerf that can't be."""
    found = []
    for name, value, usual, quantity, low, high in (
        ("kerf", process.kerf, row.kerf, mm, FAR_KERF, FAR_KERF),
        ("feed", process.feed_mm_min, row.feed_mm_min, mm_min, SLOW_FEED, FAST_FEED),
    ):
        if not usual / low <= value <= usual * high:
            far = "the {name} of {value} is far from the {usual} of the chart"
            what = say(far, name=name, value=quantity(value, "g"), usual=quantity(usual, "g"))
            absurd = name == "kerf" and not usual / MOST_KERF <= value <= usual * MOST_KERF
            severity = Severity.ERROR if absurd else Severity.WARNING
            found.append(Finding("far-from-chart", severity, what, "check the value and its unit"))
    if process.pierce_delay_s < row.pierce_delay_s / SHORT_DELAY:
        early = f"the pierce delay of {process.pierce_delay_s:g} s is far under the chart's {row.pierce_delay_s:g} s"
        found.append(Finding("far-from-chart", Severity.WARNING, early, "the torch moves before it is through"))
    return found
