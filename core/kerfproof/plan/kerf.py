"""Kerf paths: where the torch runs so that the drawn contour stays, in the direction of the cut.

The squarer edge lies right of travel with the common clockwise gas swirl, so kept metal lies on the right:
outlines run clockwise, holes counter-clockwise, islands in holes clockwise like any outline. A counter-clockwise
swirl turns all of them (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.cut_plan import FLANK
from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.geom.offset.offset import Offset, offset_all
from kerfproof.geom.path import Bools, Bundle, Path
from kerfproof.geom.region import path_areas
from kerfproof.job.job import Job, SmallHoles
from kerfproof.parts.model.part import Feature, FeatureKind, inside_of
from kerfproof.parts.model.round_hole import hole_widths
from kerfproof.plan.holes import (
    HoleBand,
    hole_band,
    holes_to_drill,
    is_drilled,
    is_slow,
    too_small,
)
from kerfproof.plan.neighbors import closeness_findings
from kerfproof.sentence import Phrase, mm, named, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

UNREACHED = 0.02
"""An edge whose middle stays this much (mm) further from the torch than half a kerf is lost."""


@dataclass(frozen=True, slots=True, eq=False)
class KerfLoop:
    """One path of the torch's centre for a feature, travelled as it is cut.

    `path` is closed, but for slits that are drawn open. `width` is the diameter of the largest circle inside a hole
    (less where that makes no difference), infinite for outlines. `slow` features are cut at one lower feed; if
    `flanked`, their long straights at the chart's.
    """

    feature: Feature
    path: Path
    kerf: float
    width: float
    slow: bool
    flanked: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class KerfLoops:
    """The kerf paths of all features, what was noticed, and the numbers of features that are not cut by choice.

    `drilled` are those of them that are holes for the drill; the others lie in one of these.
    """

    loops: tuple[KerfLoop, ...]
    findings: tuple[Finding, ...]
    left_out: tuple[int, ...]
    drilled: tuple[int, ...] = ()


def side_of_scrap(machine: Machine) -> int:
    """Return 1 if scrap lies left of travel (clockwise swirl), -1 if right."""
    return 1 if machine.swirl_clockwise else -1


def kerf_loops(
    features: Sequence[Feature], machine: Machine, process: Process, job: Job, watch: Watch = no_watch
) -> KerfLoops:
    """Return the kerf paths of `features`: half a kerf off on the scrap side, slits on their line.

    Marks are not cut, small holes by the job's choice left out. What is lost or closes up is an error finding.
    """
    findings: list[Finding] = []
    closed, drilled = _worth_cutting(features, process, job, findings)
    left_out = [*drilled, *(f.number for f in inside_of(features, drilled))]
    findings += closeness_findings([f for f, _, _ in closed], process.kerf)
    loops = _offset_loops(closed, machine, process, job, findings, watch)
    loops += [
        KerfLoop(f, f.contour.path, process.kerf, f.contour.path.length(), False)
        for f in features
        if f.kind is FeatureKind.SLIT and f.number not in left_out
    ]
    loops.sort(key=lambda loop: loop.feature.number)
    return KerfLoops(tuple(loops), tuple(findings), tuple(sorted(left_out)), tuple(drilled))


def _worth_cutting(
    features: Sequence[Feature], process: Process, job: Job, findings: list[Finding]
) -> tuple[list[tuple[Feature, float, float]], list[int]]:
    """Return the outlines and holes to offset, each with its signed area and width, and the holes for the drill."""
    for f in features:
        if f.kind is FeatureKind.MARK:
            findings.append(_finding(f, "mark-not-cut", Severity.NOTE, "is a mark and is not cut", ""))
    closed = [f for f in features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE)]
    if not closed:
        return [], []
    paths = Bundle.of([f.contour.path for f in closed])
    areas, widths = path_areas(paths), np.full(len(closed), np.inf)
    holes = [k for k, f in enumerate(closed) if f.kind is FeatureKind.HOLE]
    widths[holes] = hole_widths(Bundle.of([closed[k].contour.path for k in holes]), _wide(process, job))
    out, drilled = [], []
    for f, area, width in zip(closed, areas.tolist(), widths.tolist(), strict=True):
        band = HoleBand.CUT if np.isinf(width) else hole_band(width, area, process)
        if band is not HoleBand.CUT and job.small_holes is SmallHoles.ERROR:
            findings.append(too_small(f, width, area, process))
        elif is_drilled(band, job.small_holes):
            drilled.append((f, width))
        else:
            out.append((f, area, width))
    scrap = {f.number for f in inside_of(features, [f.number for f, _ in drilled])}
    out = [item for item in out if item[0].number not in scrap]
    drilled = [item for item in drilled if item[0].number not in scrap]
    findings += holes_to_drill([f for f, _ in drilled], [width for _, width in drilled])
    return out, [f.number for f, _ in drilled]


def _wide(process: Process, job: Job) -> float:
    """Return the width (mm) from which on it makes no difference how wide a hole is."""
    lead = process.lead_radius if job.leads.radius is None else max(job.leads.radius, process.lead_radius)
    crater = process.crater_radius + 0.5
    return max(process.slow_hole_below, process.min_hole, 2 * crater, 4 * max(lead, crater) + process.worn_kerf)


def _offset_loops(
    closed: Sequence[tuple[Feature, float, float]],
    machine: Machine,
    process: Process,
    job: Job,
    findings: list[Finding],
    watch: Watch,
) -> list[KerfLoop]:
    if not closed:
        return []
    features = [f for f, _, _ in closed]
    side = side_of_scrap(machine)
    slow = [is_slow(f, width, process) for f, _, width in closed]
    # Drawn the way it is cut: clockwise outlines and counter-clockwise holes where scrap lies left.
    wanted = np.array([-side if f.kind is FeatureKind.OUTLINE else side for f in features])
    turned = np.sign([area for _, area, _ in closed]) != wanted
    bundle = Bundle.of([f.contour.path for f in features])
    flanked = _have_flanks(bundle, FLANK + process.kerf)
    even = np.array(slow) & ~flanked
    kerf = np.where(even, process.hole_kerf or process.kerf, process.kerf)
    distance = np.where(turned, -side, side) * kerf / 2
    made = offset_all(bundle, distance, sharp=job.sharp_corners, watch=watch)
    out: list[KerfLoop] = []
    rows = zip(closed, made, kerf.tolist(), turned.tolist(), slow, flanked.tolist(), strict=True)
    for (f, _, width), offset, k, back, s, fast in rows:
        findings += _offset_findings(f, offset, k)
        out += [KerfLoop(f, p.reversed() if back else p, k, width, s, s and fast) for p in offset.paths]
    watch("kerf", 1.0)
    return out


def _offset_findings(feature: Feature, offset: Offset, kerf: float) -> list[Finding]:
    error, width = Severity.ERROR, say("narrower than the kerf of {kerf}", kerf=mm(kerf, "g"))
    if offset.problem:
        none = f"has no kerf path: {offset.problem}"
        return [_finding(feature, "kerf-not-found", error, none, "mend the drawing there", offset.at)]
    if not offset.paths:
        what, advice = say("is {width} and can't be cut", width=width), "draw it wider, or drill it"
        return [_finding(feature, "feature-lost", error, what, advice, offset.at)]
    if len(offset.paths) > 1:
        what = say("has a neck {width}, which parts it in {count}", width=width, count=len(offset.paths))
        return [_finding(feature, "neck-closes", error, what, "draw the neck wider", offset.at)]
    return []


def _have_flanks(paths: Bundle, least: float) -> Bools:
    """Return which paths have a straight edge longer than `least` mm (n,)."""
    s = paths.segments()
    return np.bincount(s.owner[~s.is_arc & (s.lengths() > least)], minlength=len(paths)) > 0


def _finding(
    feature: Feature,
    rule: str,
    severity: Severity,
    what: Phrase,
    advice: Phrase,
    at: tuple[float, float] | None = None,
) -> Finding:
    x, y = at if at is not None else feature.contour.path.start.tolist()
    return Finding(
        rule,
        severity,
        say("{label} {what}", label=named(feature.label), what=what),
        advice,
        x=x,
        y=y,
        handle="/".join(feature.contour.handles[:1]),
    )
