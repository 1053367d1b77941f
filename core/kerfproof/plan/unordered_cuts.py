"""Contours with their leads and closures, and slits, as cuts that are not yet in order."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from kerfproof.cut_plan import Cut
from kerfproof.memo import Memo
from kerfproof.parts.model.part import FeatureKind, Parts
from kerfproof.plan.closure import Closure
from kerfproof.plan.holes import slow_feed
from kerfproof.plan.kerf import KerfLoop
from kerfproof.plan.leads.choose import ChosenLead, Leads
from kerfproof.plan.leads.starts import KerfSheet
from kerfproof.plan.slits import SlitRun
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine


def drafts(
    parts: Parts,
    sheet: KerfSheet,
    leads: Leads,
    closures: Sequence[Closure | None],
    slits: Sequence[SlitRun],
    machine: Machine,
    process: Process,
    memo: Memo,
) -> list[Cut]:
    """Return all cuts, not yet in order; those of the same loop, lead and closure as before are the same objects."""
    names = {f.number: part.name for part in parts.parts for f in part.features}
    out: list[Cut] = []
    with memo.pieces("drafts", (machine, process)) as known:
        for loop, lead, closure in zip(sheet.loops, leads.leads, closures, strict=True):
            if lead is not None and closure is not None:
                name = names[loop.feature.number]
                make = partial(_closed_cut, loop, lead, closure, name, machine, process)
                out.append(known.one((loop, lead, closure, name), make))
        for run in slits:
            name = names[run.loop.feature.number]
            out.append(known.one((run, name), partial(_slit_cut, run, name, process)))
    return out


def _closed_cut(
    loop: KerfLoop, lead: ChosenLead, closure: Closure, part: str, machine: Machine, process: Process
) -> Cut:
    feed = process.feed_mm_min
    if loop.slow:
        feed = slow_feed(loop.width, loop.kerf, process, machine.acceleration_mm_s2)
    return Cut(
        feature=loop.feature.number,
        kind=loop.feature.kind.value,
        part=part,
        label=loop.feature.label,
        pierce=lead.pierce,
        contour=closure.contour,
        lead_in=lead.path,
        over_burn=closure.over_burn,
        lead_out=closure.lead_out,
        feed_mm_min=feed,
        kerf=loop.kerf,
        lead_shape=lead.shape,
        flank_feed_mm_min=process.feed_mm_min if loop.flanked else None,
    )


def _slit_cut(run: SlitRun, part: str, process: Process) -> Cut:
    return Cut(
        feature=run.loop.feature.number,
        kind=FeatureKind.SLIT.value,
        part=part,
        label=run.loop.feature.label,
        pierce=run.pierce,
        contour=run.contour,
        lead_in=run.lead_in,
        over_burn=run.over_burn,
        feed_mm_min=process.feed_mm_min,
        kerf=run.loop.kerf,
        lead_shape="extension" if run.lead_in is not None else "",
    )
