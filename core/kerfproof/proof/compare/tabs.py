"""Tabs that a program is meant to leave: judged as if they were cut, and then that they are not.

The drawing is compared with the cut and the tabs together, so that everything else is proven as always; then each
tab must really hold: no torch-on path may come nearer to its middle than its ends do. A heading says what is a tab, so
it is believed only of short pieces of an outline's kerf that join two cut ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Path, Segments
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.sentence import Phrase, mm, say

SLACK = 0.02
"""Ends of cuts are rounded by the text; less than this is no loss of a tab."""
WIDEST, THICKNESSES = 10.0, 1.2
"""A tab is cut by hand when the sheet is out: its metal is at most so wide (mm), or so many times the plate's thickness
(common practice, from memory: 0.6 of it holds)."""
SHARE = 0.25
"""The tabs of an outline leave at most this share of it: a stretch is at least as long as three of its tabs."""
ON_PATH = 0.1
"""How far (mm) a tab's middle may lie from where the kerf of the outline would run."""


def bridged(trace: Trace, tabs: Sequence[Path], feed_mm_min: float) -> Trace:
    """Return the trace with a torch-on run along each tab at its end."""
    for tab in tabs:
        trace = _with_run(trace, tab.segments(), feed_mm_min)
    return trace


def _with_run(trace: Trace, s: Segments, feed: float) -> Trace:
    n, origin = len(s), np.array(trace.xy_origin)
    rows = n + 2
    z = trace.end[-1, 2] if len(trace) else 0.0
    p0, p1 = s.p0 + origin, s.p1 + origin
    flat_start, flat_end = np.vstack([p0[:1], p0, p1[-1:]]), np.vstack([p0[:1], p1, p1[-1:]])
    height = np.full((rows, 1), z)
    arc = s.is_arc
    kinds = np.where(arc, int(Step.ARC), int(Step.FEED))
    line = int(trace.line[-1]) if len(trace) else 1
    middle = np.where(arc[:, None], s.center + origin, 0.0)
    none = np.zeros((1, 2))
    return replace(
        trace,
        kind=np.concatenate([trace.kind, [int(Step.TORCH_ON)], kinds, [int(Step.TORCH_OFF)]]),
        line=np.concatenate([trace.line, np.full(rows, line)]),
        start=np.vstack([trace.start, np.hstack([flat_start, height])]),
        end=np.vstack([trace.end, np.hstack([flat_end, height])]),
        center=np.vstack([trace.center, none, middle, none]),
        sweep=np.concatenate([trace.sweep, [0.0], s.sweep, [0.0]]),
        feed=np.concatenate([trace.feed, [0.0], np.full(n, feed), [0.0]]),
        torch=np.concatenate([trace.torch, [False], np.ones(n + 1, dtype=np.bool_)]),
        seconds=np.concatenate([trace.seconds, np.zeros(rows)]),
        frame_z=np.vstack([trace.frame_z, np.zeros((rows, 2))]),
        datum=np.concatenate([trace.datum, np.full(rows, -1)]),
        radius_gap=np.concatenate([trace.radius_gap, np.zeros(rows)]),
        value=np.concatenate([trace.value, np.zeros(rows)]),
        text=(*trace.text, *[""] * rows),
    )


def excused(tabs: Sequence[Path], evidence: Evidence) -> tuple[tuple[Path, ...], tuple[Finding, ...]]:
    """Return the tabs that may stay uncut, and an error for each other that is claimed to be one."""
    kept, process = evidence.kept, evidence.process
    if not tabs or kept is None or process is None or not len(evidence.path.segments):
        return tuple(tabs), ()
    most = process.kerf + max(WIDEST, THICKNESSES * process.thickness)
    middles = np.array([tab.part(0.0, tab.length() / 2).end for tab in tabs])
    away, edge = nearest(middles, kept.edges, np.inf, kept.index)
    outline = kept.edges.owner[edge]
    uncut = np.bincount(outline, [tab.length() for tab in tabs], minlength=len(kept.contours))
    loose = np.array([[tab.start, tab.end] for tab in tabs]).reshape(-1, 2)
    gaps, _ = nearest(loose, evidence.path.segments, np.inf, evidence.path.index)
    good, wrong = [], []
    for k, (tab, (x, y)) in enumerate(zip(tabs, middles.tolist(), strict=True)):
        contour = int(outline[k])
        if tab.length() > most:
            why: Phrase = say(
                "it is {length} long, a tab at most {most}", length=mm(tab.length(), ".1f"), most=mm(most, ".1f")
            )
        elif not kept.is_outline()[contour] or abs(away[k] - process.kerf / 2) > ON_PATH:
            why = "it lies on no outline's cut"
        elif gaps[2 * k : 2 * k + 2].max() > SLACK:
            why = "no cut ends where it begins or ends"
        elif uncut[contour] > SHARE * kept.perimeter[contour]:
            why = f"the tabs there leave more than {SHARE:.0%} of the outline"
        else:
            good.append(tab)
            continue
        what = say("the heading calls this a tab, but {why}", why=why)
        wrong.append(Finding("tab-not-believed", Severity.ERROR, what, "cut it, or write the program again", x=x, y=y))
    return tuple(good), tuple(wrong)


def judged_tabs(tabs: Sequence[Path], path: TorchPath) -> Iterator[Finding]:
    """Yield an error for each tab that is cut through, and a note on how many hold."""
    if not tabs:
        return
    middles = np.array([tab.part(0.0, tab.length() / 2).end for tab in tabs])
    ends = np.array([[tab.start, tab.end] for tab in tabs])
    reach = np.hypot(*(ends - middles[:, None]).transpose(2, 0, 1)).min(axis=1)
    away, _ = nearest(middles, path.segments, np.inf)
    holding = 0
    for (x, y), near, least in zip(middles.tolist(), away.tolist(), reach.tolist(), strict=True):
        if near >= least - SLACK:
            holding += 1
            continue
        what = say("the tab is cut into: the torch comes {least} too near to its middle", least=mm(least - near, ".2f"))
        yield Finding("tab-cut-through", Severity.ERROR, what, "write the program again", x=x, y=y)
    if holding:
        held = f"{holding} tab{'s hold' if holding > 1 else ' holds'} the parts in the sheet"
        yield Finding("held-by-tabs", Severity.NOTE, held, "cut them by hand when the sheet is out")
