"""The picture of an outcome as one display list, for every renderer.

Layers of paths by role, discs for the pierces, callouts for the findings, facts for the margin. All in mm and
program coordinates; what has no size of its own on the plate (discs, callouts, arrows) is left to the renderer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Cut
from kerfproof.geom.path import Path
from kerfproof.job.job import Mode
from kerfproof.outcome import Outcome
from kerfproof.parts.model.contour import Role
from kerfproof.parts.model.part import Part
from kerfproof.report.data.facts import facts_of
from kerfproof.report.data.job_report import parts_bounds, verdict
from kerfproof.report.picture.flags import Callout, flags
from kerfproof.report.picture.traced_cuts import traced
from kerfproof.sentence import said
from kerfproof.units import format_length

Point = tuple[float, float]

ROLES = {
    "part": "metal you keep",
    "hole": "scrap and rest of the plate",
    "kerf": "kerf, true width",
    "lead_in": "lead-in",
    "lead_out": "over-burn and lead-out",
    "travel": "travel, torch off",
    "raised": "way of the raised torch",
    "slit": "slit",
    "mark": "mark, not cut",
    "drill": "hole to drill, not cut",
    "uncut": "drawn, not cut",
    "ignored": "left out",
}
"""Every role a layer can have, with its words in the legend."""

NEVER_LIT = {
    Mode.DRY: "DRY RUN: TORCH STAYS OFF",
    Mode.FRAME: "FRAME ONLY: TORCH STAYS OFF",
    Mode.TOUR: "TOUR: TORCH STAYS OFF",
}
"""What is written beside the verdict of programs that cut nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Paths of one role. `width` in mm is the true width of a stroke, 0 a hairline; `filled` even-odd."""

    role: str
    paths: tuple[Path, ...]
    width: float = 0.0
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Disc:
    """The number of a cut, by its pierce at `at`; `away` is the unit vector to where the number may stand."""

    number: int
    at: Point
    away: Point


@dataclass(frozen=True, slots=True)
class Arrow:
    """The way of travel at one place of a cut of `length` mm; `turn_rad` counter-clockwise from x."""

    at: Point
    turn_rad: float
    length: float


@dataclass(frozen=True, slots=True)
class Drill:
    """A round hole left for the drill, with what to write beside it."""

    at: Point
    radius: float
    text: str


@dataclass(frozen=True, slots=True)
class Name:
    """A part's name with the outline and holes that it has to stand between, the outline first."""

    text: str
    paths: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle round a place where a contour goes wrong: ``open end``, ``crossing`` or ``branch``."""

    at: Point
    what: str


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """All that a renderer needs. `plate` is the plate's box, `view` what must be seen of the coordinates.

    `notice` says in capitals that nothing is cut, empty if something is.
    """

    title: str
    verdict: str
    plate: Box
    view: Box
    layers: tuple[Layer, ...]
    discs: tuple[Disc, ...] = ()
    arrows: tuple[Arrow, ...] = ()
    callouts: tuple[Callout, ...] = ()
    names: tuple[Name, ...] = ()
    drills: tuple[Drill, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    small_print: str = ""
    more_findings: int = field(default=0)
    rings: tuple[Ring, ...] = ()
    notice: str = ""


def compose(outcome: Outcome, *, brief: bool = False) -> Picture:
    """Return the picture of `outcome`, as far as it got: without a plan the parts and the findings alone.

    `brief` leaves out facts, arrows and chains that do not close, and takes the plate for the view.
    """
    cuts = outcome.plan.cuts if outcome.plan else ()
    lit = outcome.plan is None or outcome.plan.mode not in NEVER_LIT
    left = () if brief else _loose(outcome)
    layers = (*_part_layers(outcome, left), *(_cut_layers(cuts) if lit else _raised_layers(outcome)))
    plate = outcome.plan.plate if outcome.plan else _grown(parts_bounds(outcome) or (0.0, 0.0, 100.0, 100.0), 10.0)
    callouts, more = flags(outcome.findings, outcome.places_of, inches=outcome.machine.inches)
    return Picture(
        title=", ".join(drawing.name for drawing in outcome.drawings),
        verdict=verdict(outcome),
        plate=plate,
        view=plate if brief else _view(plate, cuts, callouts),
        layers=layers,
        discs=tuple(disc(k, c.pieces[0], c.pierce) for k, c in enumerate(cuts, 1))
        if outcome.job.mode != Mode.FRAME
        else (),
        arrows=tuple(arrow for cut in cuts for arrow in arrows(cut.contour)) if lit and not brief else (),
        callouts=callouts,
        names=part_names(outcome.parts.parts),
        drills=_drills(outcome),
        facts=() if brief else facts_of(outcome),
        small_print=f"for {said(outcome.proof.holds_for, outcome.machine.inches)}" if outcome.proof else "",
        more_findings=more,
        notice="" if outcome.plan is None or lit else NEVER_LIT[outcome.plan.mode],
    )


# --- layers -------------------------------------------------------------------------------------------


def _loose(outcome: Outcome) -> tuple[Path, ...]:
    """Return what was to be cut and is no feature: chains that do not close, and contours that were refused."""
    return tuple(
        chain.path.moved(*copy.shift)
        for copy in outcome.copies
        for chain in (*outcome.contours[copy.use].open, *outcome.contours[copy.use].refused)
        if chain.role is Role.CUT
    )


def _part_layers(outcome: Outcome, loose: tuple[Path, ...]) -> list[Layer]:
    gone = {f.number for f in outcome.left_out}
    done = gone | {c.feature for c in outcome.plan.cuts} if outcome.plan else gone
    closed: list[Path] = []
    slits: list[Path] = []
    marks: list[Path] = []
    drill: list[Path] = []
    uncut = list(loose)
    for part in outcome.parts.parts:
        for feature in (part.outline, *part.holes):
            path = feature.contour.path
            (drill if feature.number in gone else closed).append(path)
            if outcome.plan and feature.number not in done:
                uncut.append(path)
        slits += [f.contour.path for f in part.slits]
        marks += [f.contour.path for f in part.marks]
    others = ("slit", slits), ("mark", marks), ("drill", drill), ("uncut", uncut)
    return [Layer("part", tuple(closed), filled=True), *layers_of(*others)]


def layers_of(*roles: tuple[str, Sequence[Path]]) -> list[Layer]:
    """Return a layer of hairlines for each role that has any paths."""
    return [Layer(role, tuple(paths)) for role, paths in roles if paths]


def _cut_layers(cuts: tuple[Cut, ...]) -> list[Layer]:
    """Return kerf, leads and travel; kerfs of one width share a layer."""
    layers = []
    pieces: dict[str, Callable[[Cut], tuple[Path | None, ...]]] = {
        "kerf": lambda cut: (cut.contour,),
        "lead_in": lambda cut: (cut.lead_in,),
        "lead_out": lambda cut: (cut.over_burn, cut.lead_out),
    }
    for role, pick in pieces.items():
        by_width: dict[float, list[Path]] = {}
        for cut in cuts:
            by_width.setdefault(round(cut.kerf, 6), []).extend(p for p in pick(cut) if p is not None)
        layers += [Layer(role, tuple(paths), width) for width, paths in sorted(by_width.items()) if paths]
    travel = _travel(cuts)
    return [*layers, Layer("travel", travel)] if travel else layers


def _raised_layers(outcome: Outcome) -> list[Layer]:
    """Return the way of a torch that is never lit, as the program's trace tells it."""
    ways = traced(outcome.proof, outcome.process).travels if outcome.proof else ()
    return [Layer("raised", ways)] if ways else []


def _travel(cuts: tuple[Cut, ...]) -> tuple[Path, ...]:
    """Return the torch-off ways, from program zero on."""
    ways = []
    at: Point = (0.0, 0.0)
    for cut in cuts:
        stops = [at, *cut.via, cut.pierce]
        points = [p for k, p in enumerate(stops) if k == 0 or _apart(p, stops[k - 1])]
        if len(points) > 1:
            ways.append(Path.polyline(points))
        at = cut.end
    return tuple(ways)


def _apart(a: Point, b: Point) -> bool:
    return max(abs(a[0] - b[0]), abs(a[1] - b[1])) > 1e-6


# --- marks on top -------------------------------------------------------------------------------------


def disc(number: int, path: Path, at: Point) -> Disc:
    """Return the number of a cut, to stand behind its pierce at a place as seen along the first motion."""
    way = path.segments().tangents(np.array([0]), np.array([0.0]))[0]
    return Disc(number, at, (-float(way[0]), -float(way[1])))


def arrows(contour: Path, most: int = 4) -> list[Arrow]:
    """Return marks of the way of travel, spread evenly over a contour; long ones get up to `most`."""
    segments = contour.segments()
    lengths = segments.lengths()
    ends = np.cumsum(lengths)
    total = float(ends[-1])
    count = int(np.clip(total / 80.0, 1, most))
    places = (np.arange(count) + 0.5) / count * total
    which = np.minimum(np.searchsorted(ends, places), len(ends) - 1)
    share = np.clip(1.0 - (ends[which] - places) / lengths[which], 0.0, 1.0)
    points, ways = segments.points(which, share), segments.tangents(which, share)
    turns = np.arctan2(ways[:, 1], ways[:, 0])
    return [Arrow((float(p[0]), float(p[1])), float(t), total) for p, t in zip(points, turns, strict=True)]


def part_names(parts: Sequence[Part]) -> tuple[Name, ...]:
    """Return the parts' names; one part alone needs none."""
    if len(parts) < 2:
        return ()
    return tuple(Name(p.name, tuple(f.contour.path for f in (p.outline, *p.holes))) for p in parts)


def _drills(outcome: Outcome) -> tuple[Drill, ...]:
    drills = []
    for feature in outcome.drilled:
        x0, y0, x1, y1 = feature.contour.path.bounds()
        text = feature.label if feature.diameter is None else f"drill {format_length(feature.diameter, decimals=2)}"
        drills.append(Drill(((x0 + x1) / 2, (y0 + y1) / 2), max(x1 - x0, y1 - y0) / 2, text))
    return tuple(drills)


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _view(plate: Box, cuts: tuple[Cut, ...], callouts: tuple[Callout, ...]) -> Box:
    """Return what has to be seen: the plate and all that is cut, and places of findings not absurdly far away."""
    boxes = [plate, *(_grown(piece.bounds(), cut.kerf / 2) for cut in cuts for piece in cut.pieces)]
    reach = _grown(plate, 0.5 * max(plate[2] - plate[0], plate[3] - plate[1]))
    for callout in callouts:
        if callout.at and reach[0] < callout.at[0] < reach[2] and reach[1] < callout.at[1] < reach[3]:
            boxes.append((*callout.at, *callout.at))
    table = np.array(boxes)
    low, high = table[:, :2].min(axis=0), table[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
