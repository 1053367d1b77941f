"""Slits: cut on their line, kept metal on both sides, so the pierce has scrap only beyond an end open to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from kerfproof.cut_plan import Point
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import inside
from kerfproof.job.job import Pin
from kerfproof.parts.model.part import Feature
from kerfproof.plan.clearance import Clearances, Ground, Runs, plain
from kerfproof.plan.closure import beginning, contour_length
from kerfproof.plan.kerf import KerfLoop
from kerfproof.plan.leads.lead import lead_path
from kerfproof.sentence import Phrase, named, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, StartKind


@dataclass(frozen=True, slots=True, eq=False)
class SlitRun:
    """One slit as cut: where it is pierced, the lead from beyond an open end if any, the way, the over-burn."""

    loop: KerfLoop
    pierce: Point
    lead_in: Path | None
    contour: Path
    over_burn: Path | None


def cut_slits(
    loops: Sequence[KerfLoop],
    closed: Sequence[Feature],
    ground: Ground,
    machine: Machine,
    process: Process,
    clear: Clearances,
    pins: Mapping[int, Pin],
) -> tuple[list[SlitRun], list[Finding]]:
    """Return how each slit is cut, and what to say about its pierce. A pin says at which of its ends it begins.

    A slit that ends in scrap is pierced there, in front of its end; any other on the line, which leaves a mark. The
    cut along that scrap crosses the slit's open kerf: an error for a contact torch, which can't light again in air.
    """
    runs: list[SlitRun] = []
    findings: list[Finding] = []
    contours = Bundle.of([f.contour.path for f in closed])
    for loop in loops:
        ways = [loop.path] if loop.path.closed else [loop.path, loop.path.reversed()]
        pin = pins.get(loop.feature.number)
        if pin is not None:
            ways = [min(ways, key=lambda way: hypot(way.start[0] - pin.x, way.start[1] - pin.y))]
        opened = None if loop.path.closed else _from_scrap(loop, ways, contours, ground, process, clear)
        if opened is not None:
            runs.append(opened)
            severity = Severity.ERROR if machine.start is StartKind.CONTACT else Severity.WARNING
            what = "is open to the edge, so another cut must cross its kerf and the arc may go out there"
            advice = "end it short of the edge, or draw it as a notch of the outline"
            findings.append(_said(loop, "slit-meets-edge", severity, what, advice))
            continue
        room = ground.room(np.array([way.start for way in ways]), clear.edge + process.kerf)
        way = ways[int(np.argmax(np.round(room, 6)))].opened()
        burn = beginning(way, min(process.over_burn_hole, contour_length(way) / 2)) if loop.path.closed else None
        runs.append(SlitRun(loop, plain(way.start), None, way, burn))
        if loop.feature.contour.drill:  # its mark is what it is for
            continue
        what = "has kept metal on both sides: its pierce leaves a mark"
        findings.append(
            _said(loop, "slit-pierce-marks", Severity.WARNING, what, "draw it as a slot if the mark matters")
        )
    return runs, findings


def _from_scrap(
    loop: KerfLoop, ways: Sequence[Path], contours: Bundle, ground: Ground, process: Process, clear: Clearances
) -> SlitRun | None:
    for way in ways:
        s = way.segments()
        along = s.tangents(np.array([0]), np.array([0.0]))[0]
        for share in (1.0, 0.8):
            pierce = way.start - max(process.lead_straight, clear.edge + 0.5) * share * along
            if inside(contours, pierce[None, :])[0]:
                continue
            run = Runs(
                pierce[None, :],
                way.start[None, :],
                np.zeros(1),
                np.array([loop.feature.number]),
                np.array([loop.kerf]),
                np.array([clear.face]),
            )
            judged = ground.judge(run, clear)
            touches_edge = ground.room(way.start[None, :], loop.kerf)[0] <= loop.kerf / 2
            if touches_edge and not (judged.crater[0] or judged.plate[0]):
                return SlitRun(loop, plain(pierce), lead_path(plain(pierce), 0.0, plain(way.start)), way, None)
    return None


def _said(loop: KerfLoop, rule: str, severity: Severity, what: Phrase, advice: Phrase) -> Finding:
    x, y = plain(loop.path.start)
    handle = "/".join(loop.feature.contour.handles[:1])
    return Finding(
        rule,
        severity,
        say("{label} {what}", label=named(loop.feature.label), what=what),
        advice,
        x=x,
        y=y,
        handle=handle,
    )
