"""Drawings on the plate: turned, copied, set side by side, and the starts that the person pinned on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.box import Box
from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.geom.path import Bundle, Floats
from kerfproof.geom.region import path_boxes
from kerfproof.job.job import DrawingUse, Job, Origin, Pin, Turn
from kerfproof.parts.model.contour_spots import REACH, PathsByPlace
from kerfproof.parts.model.part import Feature, Part, Parts
from kerfproof.sentence import counted, mm, mm_at, mm_size, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine


def turned(drawing: Drawing, use: DrawingUse) -> Drawing:
    """Return the drawing mirrored (x becomes -x) and then turned counter-clockwise, as the job says."""
    if not use.mirror and use.turn_deg % 360 == 0:
        return drawing
    matrix = turn_matrix(use)

    def entity(e: Entity) -> Entity:
        return replace(
            e,
            path=None if e.path is None else e.path.transformed(matrix),
            point=None if e.point is None else _pair(matrix @ np.array(e.point)),
            samples=None if e.samples is None else e.samples @ matrix.T,
        )

    return replace(drawing, entities=tuple(map(entity, drawing.entities)))


def turn_matrix(use: DrawingUse) -> Floats:
    """Return the matrix (2, 2) that mirrors and then turns as the job says."""
    angle = np.radians(use.turn_deg)
    c, s = float(np.cos(angle)), float(np.sin(angle))
    if use.turn_deg % 90 == 0:  # quarter turns stay exact
        c, s = float(round(c)), float(round(s))
    return np.array([[c, -s], [s, c]]) @ np.diag([-1.0 if use.mirror else 1.0, 1.0])


def _pair(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """All parts on the plate: `shifts` (n, 2) by copy, `uses` which drawing each copy is, the plate's box."""

    parts: Parts
    shifts: Floats
    uses: tuple[int, ...]
    plate: Box


def place(job: Job, made: Sequence[Parts], machine: Machine, process: Process) -> Placed:
    """Return every copy of every drawing in plate coordinates.

    One drawing stays as drawn; several are set in rows. With the origin at the corner, all are then moved so
    that the kept metal lies a margin inside the plate.

    Raises
    ------
    KerfproofError
        If the kept metal with its margins is larger than the plate or the machine's travel.
    """
    uses = tuple(k for k, use in enumerate(job.drawings) for _ in range(use.count))
    boxes = np.array([_box(made[k]) for k in uses])
    margin = process.plate_margin if job.margin is None else job.margin
    room = (job.plate[0] if job.plate else machine.travel_x) - 2 * margin
    shifts = _in_rows(boxes, process.part_gap, room) if len(uses) > 1 else np.zeros((1, 2))
    low = (boxes[:, :2] + shifts).min(axis=0)
    high = (boxes[:, 2:] + shifts).max(axis=0)
    if job.origin is Origin.CORNER:
        shifts = shifts + (margin - low)
        low, high = np.array([margin, margin]), high - low + margin
    _check_room(high - low, margin, job, machine)
    if job.plate is not None:
        plate = (0.0, 0.0, float(job.plate[0]), float(job.plate[1]))
    else:
        plate = (*_pair(low - margin), *_pair(high + margin))
    return Placed(_copies(made, uses, shifts), shifts, uses, plate)


def _box(parts: Parts) -> Box:
    boxes = path_boxes(Bundle.of([p.outline.contour.path for p in parts.parts]))
    return (*_pair(boxes[:, :2].min(axis=0)), *_pair(boxes[:, 2:].max(axis=0)))


def _check_room(size: Floats, margin: float, job: Job, machine: Machine) -> None:
    need = size + (2 * margin if job.plate is not None else 0.0)
    if job.plate is not None and (need > np.array(job.plate) + 1e-6).any():
        raise KerfproofError(
            say(
                "the parts need {need} with a margin of {margin} all round, the plate is {plate}",
                need=mm_size(need[0], need[1]),
                margin=mm(margin),
                plate=mm_size(job.plate[0], job.plate[1]),
            ),
            advice="take a larger plate, fewer parts or turn the drawing",
        )
    if size[0] > machine.travel_x or size[1] > machine.travel_y:
        raise KerfproofError(
            say(
                "the parts are {size}, the machine {name} travels {travel}",
                size=mm_size(size[0], size[1]),
                name=machine.name,
                travel=mm_size(machine.travel_x, machine.travel_y),
            ),
            advice="turn the drawing, check its units, or split the part",
        )


def _in_rows(boxes: Floats, gap: float, width: float) -> Floats:
    """Return shifts (n, 2) that set `boxes` (n, 4) side by side from (0, 0), a new row where `width` is full.

    Boxes keep their order and lie `gap` apart; one wider than `width` gets a row of its own.
    """
    shifts = np.zeros((len(boxes), 2))
    x = y = height = 0.0
    for k, (x0, y0, x1, y1) in enumerate(boxes):
        if x > 0 and x + (x1 - x0) > width:
            x, y, height = 0.0, y + height + gap, 0.0
        shifts[k] = (x - x0, y - y0)
        x += x1 - x0 + gap
        height = max(height, y1 - y0)
    return shifts


def _copies(made: Sequence[Parts], uses: Sequence[int], shifts: Floats) -> Parts:
    """Return all copies as one set of parts with numbers that count through."""
    if len(uses) == 1:  # numbers and names stay
        return made[uses[0]].moved(*_pair(shifts[0]))
    parts: list[Part] = []
    findings: list[Finding] = []
    features = count = 0
    for copy, use in enumerate(uses):
        moved = made[use].moved(*_pair(shifts[copy]))
        suffix = f" copy {uses[: copy + 1].count(use)}" if uses.count(use) > 1 else ""
        if uses.index(use) == copy:
            findings += moved.findings

        def feature(f: Feature, first: int = features, part: int = count) -> Feature:
            parent = None if f.parent is None else f.parent + first
            return replace(f, number=f.number + first, parent=parent, part=f.part + part)

        for p in moved.parts:
            parts.append(
                replace(
                    p,
                    number=p.number + count,
                    name=p.name + suffix,
                    outline=feature(p.outline),
                    holes=tuple(map(feature, p.holes)),
                    slits=tuple(map(feature, p.slits)),
                    marks=tuple(map(feature, p.marks)),
                    inside=None if p.inside is None else p.inside + features,
                )
            )
        features += len(moved.features)
        count += len(moved.parts)
    return Parts(tuple(parts), tuple(findings))


@dataclass(frozen=True, slots=True)
class CopyAt:
    """One copy on the plate: which drawing of the job, which copy of it (from 1), its shift, its feature numbers."""

    use: int
    number: int
    shift: tuple[float, float]
    first: int
    count: int


def copies_of(placed: Placed, made: Sequence[Parts]) -> tuple[CopyAt, ...]:
    """Return all copies in the order of their feature numbers."""
    out, first = [], 0
    for copy, use in enumerate(placed.uses):
        count = len(made[use].features)
        out.append(CopyAt(use, placed.uses[: copy + 1].count(use), _pair(placed.shifts[copy]), first, count))
        first += count
    return tuple(out)


def in_drawing(job: Job, copies: Sequence[CopyAt], feature: int, point: tuple[float, float]) -> Turn:
    """Return a place on a feature, given in plate coordinates, as a place in its drawing.

    Raises
    ------
    ValueError
        If no copy has the feature.
    """
    for copy in copies:
        if copy.first <= feature < copy.first + copy.count:
            use = job.drawings[copy.use]
            x, y = _pair(turn_matrix(use).T @ (np.array(point) - np.array(copy.shift)))
            return Turn(drawing=use.name, x=round(x, 6), y=round(y, 6), copy_number=copy.number)
    raise ValueError(f"no copy has feature {feature}")


def match_turns(job: Job, copies: Sequence[CopyAt], near: Sequence[Near]) -> tuple[list[int], list[Finding]]:
    """Return the features of the order by hand, and a finding if some of its places fit no contour any more."""
    by_copy = {(job.drawings[copy.use].name, copy.number): copy for copy in copies}
    numbers: dict[int, None] = {}
    lost = 0
    for turn in job.sequence:
        copy = by_copy.get((turn.drawing, turn.copy_number))
        found = None
        if copy is not None:
            at = _pair(turn_matrix(job.drawings[copy.use]) @ np.array([turn.x, turn.y]))
            found = near[copy.use].feature(at)
        if copy is None or found is None:
            lost += 1
        else:
            numbers[copy.first + found.number] = None
    if not lost:
        return list(numbers), []
    some = f"{lost} of {counted(len(job.sequence), 'place')}"
    what = f"{some} of the order by hand fit{'s' if lost == 1 else ''} no contour any more"
    advice = "look at the order again; they are cut where they fall"
    return list(numbers), [Finding("order-by-hand-lost", Severity.WARNING, what, advice)]


class Near:
    """Finds the features of a drawing whose contours pass a place."""

    __slots__ = ("_paths", "features")

    def __init__(self, parts: Parts) -> None:
        self.features = parts.features
        self._paths = PathsByPlace([f.contour.path for f in self.features])

    def feature(self, at: tuple[float, float], reach: float = REACH, **like: float | None) -> Feature | None:
        """Return the one whose contour passes nearest, within `reach` (mm); `like` its area and length."""
        number = self._paths.nearest(at, reach, **like)
        return None if number is None else self.features[number]


def match_pins(job: Job, placed: Placed, near: Sequence[Near]) -> tuple[dict[int, Pin], list[Finding]]:
    """Return the pinned start of each feature (its place in plate coordinates), and pins that fit nothing."""
    found: dict[int, Pin] = {}
    findings = []
    first = 0
    names = [use.name for use in job.drawings]
    matched = set()
    for copy, use in enumerate(placed.uses):
        dx, dy = placed.shifts[copy]
        for number, pin in enumerate(job.pins):
            if pin.drawing != names[use]:
                continue
            x, y = _pair(turn_matrix(job.drawings[use]) @ np.array([pin.x, pin.y]))
            feature = near[use].feature((x, y), area=pin.area, length=pin.length)
            if feature is not None:
                matched.add(number)
                found[first + feature.number] = replace(pin, x=x + float(dx), y=y + float(dy))
        first += len(near[use].features)
    for number, pin in enumerate(job.pins):
        if number not in matched:
            findings.append(
                Finding(
                    "pinned-start-lost",
                    Severity.WARNING,
                    say(
                        "the pinned start at {at} of {drawing} fits no contour any more",
                        at=mm_at(pin.x, pin.y),
                        drawing=pin.drawing,
                    ),
                    "choose it again; the start was chosen by the usual rules",
                    x=pin.x,
                    y=pin.y,
                )
            )
    return found, findings


def match_tabs(
    job: Job, placed: Placed, near: Sequence[Near]
) -> tuple[dict[int, tuple[tuple[float, float], ...]], list[Finding]]:
    """Return the places of tabs by hand by feature number (plate coordinates), and those that fit nothing."""
    found: dict[int, tuple[tuple[float, float], ...]] = {}
    findings = []
    for tab in job.tab_places:
        one = replace(job, pins=(Pin(drawing=tab.drawing, x=tab.x, y=tab.y),))
        pins, lost = match_pins(one, placed, near)
        for number, pin in pins.items():
            found[number] = (*found.get(number, ()), (pin.x, pin.y))
        if lost:
            what = say(
                "the tab at {at} of {drawing} fits no contour any more", at=mm_at(tab.x, tab.y), drawing=tab.drawing
            )
            findings.append(Finding("tab-lost", Severity.WARNING, what, "set it again", x=tab.x, y=tab.y))
    return found, findings
