"""Going on in the middle of a cut: a new pierce in the scrap and a lead back to just before the arc was lost.

Over 300 lines because every way back, in a contour or a slit, is judged by the same surroundings.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Cut, Point
from kerfproof.errors import KerfproofError
from kerfproof.gcode.writer.run import joined
from kerfproof.geom.distance import pair_distances, point_distances
from kerfproof.geom.path import Bundle, Floats, Path, Segments
from kerfproof.geom.region import inside, nesting
from kerfproof.plan.clearance import Clearances
from kerfproof.resume.combined_proof import Setup
from kerfproof.resume.earlier_programs import cut_along, ring_of
from kerfproof.resume.first_program import FirstProgram
from kerfproof.resume.freed_faces import around as hanging_together
from kerfproof.resume.freed_faces import loose_faces, nothing, touches
from kerfproof.resume.resume_point import Split, closed_at
from kerfproof.sentence import Sentence, mm, mm_at, option, say
from kerfproof.shop.chart import Process

TURNS_DEG = (0, 20, -20, 40, -40, 60, 75, -60)
"""Directions of the lead from straight into the scrap, positive ahead along the cut."""
FURTHER = (0.0, 1.0, 2.0, 4.0, 7.0)
"""Leads are tried so much longer than they must be at least, mm."""
CLOSE_TURNS_DEG = tuple(range(-75, 80, 15))
CLOSE_FURTHER = tuple(0.5 * k for k in range(15))
"""The same where the scrap is small."""
BESIDE = 1.25
"""Where there is no room for the tip's face, a pierce lies this many kerfs beside what was cut at least: sound metal
for the arc to light on (common practice, no source); the plate is then found at another place."""
TOUCH_REACH = (8.0, 12.0, 16.0, 20.0, 30.0, 40.0)
"""How far from the pierce the plate is found then, mm."""
LEFT, RIGHT = 1.0, -1.0
FURTHER_ON = (0.5, 0.0, -0.25, -0.5, -0.75, -1.0, -1.25)
"""Where the arc would cross an open kerf, the lead meets the contour further on than `overlap`, which is 1 here; below
0 beyond the place of the lost arc, in or behind that kerf. Whether metal is left between is for the proof to say."""


def overlap(process: Process) -> float:
    """Return how far before the place of the lost arc the lead meets the contour: a kerf, 2.5 mm at most."""
    return min(process.kerf, 2.5)


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """What a new pierce has to keep away from.

    `void` is what was cut; `kept` the drawn edges, None if they are not known; `others` every cut but this one;
    `freed` the rings that were cut; `faces` what kerfs have freed together, or all but.
    """

    void: Segments
    others: Segments
    freed: Bundle
    faces: Bundle
    kept: Bundle | None
    plate: Box | None
    half: float
    further: bool = False
    """Whether the lead may meet the contour beside another cut's kerf, which is open already."""


def restarts(first: FirstProgram, split: Split, setup: Setup, overlaps: float = 1.0) -> Iterator[Cut]:
    """Yield ways to cut the rest of the cut that stopped on its way, the best first.

    `overlaps` is how far before the place of the lost arc the lead meets the contour, as a share of `overlap`.

    Raises
    ------
    KerfproofError
        If there is no room for a pierce beside it, or the kerf has freed the piece already.
    """
    assert split.partly is not None
    k = split.partly
    cut, line = first.cuts[k], first.line(k)
    around = replace(_around(first, split, line, setup, cut.kerf / 2), further=overlaps < 1.0)
    at = max(0.0, split.at - overlaps * overlap(setup.process))
    if at >= line.length() - 1e-6:
        return
    tip = _frame(line, split.at)[0]
    if touches(around.faces, tip, around.half):
        raise _all_but_closed(first, k, line, split.at)
    sides = _scrap_sides(first, k, line, at, around)
    clear = Clearances.of(setup.process, setup.machine)
    found = loose = 0
    for made in _ways(cut, line, at, sides, clear, around):
        if len(around.faces) and inside(around.faces, np.array([made.pierce]))[0]:
            loose += 1
            continue
        found += 1
        yield made
    if loose and not found:
        raise _all_but_closed(first, k, line, split.at)
    if not found:
        last = k + 1 == len(first.cuts)
        then = (
            ", which is the last"
            if last
            else say(" and go on with {from_cut} {k}", from_cut=option("from-cut"), k=k + 2)
        )
        raise KerfproofError(
            say("there is no room for a new pierce {where}", where=_why(first, k, line, split.at, sides)),
            advice=say("finish cut {k} by hand or drill{then}", k=k + 1, then=then),
        )


def beside_open_kerf(first: FirstProgram, split: Split, setup: Setup) -> bool:
    """Return whether the arc was lost where it came upon the kerf of an earlier cut."""
    assert split.partly is not None
    cut, line = first.cuts[split.partly], first.line(split.partly)
    paths = [*(first.line(k) for k in split.done), *(Path(joined(before), False) for before in setup.before)]
    return bool(paths) and _near(_frame(line, split.at)[0], Bundle.of(paths).segments()) < 2 * cut.kerf


def _all_but_closed(first: FirstProgram, k: int, line: Path, at: float) -> KerfproofError:
    """Return the question that is left where the kerf has freed a piece before the cut is done, or all but."""
    x, y = (float(v) for v in line.part(0.0, max(at, 1e-3)).end)
    left = closed_at(first, k) - at
    last = k + 1 == len(first.cuts)
    then = (
        "it is the last: the plate is finished"
        if last
        else say("go on with {from_cut} {k}", from_cut=option("from-cut"), k=k + 2)
    )
    return KerfproofError(
        say(
            "cut {k} stopped at {at}, {left} before it is done: its kerf has freed the piece there, or all but, "
            "so nothing holds it for another start",
            k=k + 1,
            at=mm_at(x, y, ".1f"),
            left=mm(left, ".1f"),
        ),
        advice=say("break it out and file what is left; {then}", then=then),
    )


def _why(first: FirstProgram, k: int, line: Path, at: float, sides: list[float]) -> Sentence:
    """Return where there is no room for a new pierce, and why."""
    x, y = (float(v) for v in line.part(0.0, max(at, 1e-3)).end)
    if sides:
        return say("near {at}: kept metal or what was cut lies too near", at=mm_at(x, y, ".1f"))
    if first.ring(k) is not None:
        why = "metal is kept on both sides, and the cut ends where it began, in its own kerf"
        return say("near {at}: {why}", at=mm_at(x, y, ".1f"), why=why)
    return say(
        "on the {length} that are left of the slit: its far end lies too near to what was cut",
        length=mm(line.length() - at, ".1f"),
    )


def _ways(cut: Cut, line: Path, at: float, sides: list[float], clear: Clearances, around: Around) -> Iterator[Cut]:
    """Yield the rest of a cut from each new pierce, the widest room for the tip first."""
    for face in dict.fromkeys((clear.face, clear.crowded)):
        if not sides:
            rest = _from_the_end(cut, line, at, replace(clear, face=face), around)
            yield from [rest] if rest is not None else []
        for side in sides:
            yield from _beside(cut, line, at, side, replace(clear, face=face), around)
    near = replace(clear, face=BESIDE * cut.kerf)
    for narrow in (replace(clear, face=clear.crowded), near):
        for side in sides:
            for made in _beside(cut, line, at, side, narrow, around, CLOSE_TURNS_DEG, CLOSE_FURTHER):
                touch = _sound_place(np.array(made.pierce), clear, around) if narrow is near else None
                if narrow is not near or touch is not None:
                    yield replace(made, touch_at=touch)


def _sound_place(pierce: Floats, clear: Clearances, around: Around) -> Point | None:
    """Return where the plate is found instead of at the pierce: near it, on metal that is neither cut nor loose."""
    angle = np.arange(0.0, 2 * np.pi, np.pi / 18)
    for reach in TOUCH_REACH:
        places = pierce + reach * np.column_stack([np.cos(angle), np.sin(angle)])
        loose = np.zeros(len(places), dtype=np.bool_)
        for pieces in (around.freed, around.faces):
            loose |= inside(pieces, places) if len(pieces) else False
        for place in places[~loose]:
            if _on_plate(place, clear, around) and _near(place, around.void) >= clear.face + around.half:
                return float(place[0]), float(place[1])
    return None


def _around(first: FirstProgram, split: Split, line: Path, setup: Setup, half: float) -> Around:
    assert split.partly is not None
    drawn = setup.drawn
    done = [first.line(k) for k in split.done]
    done += [Path(joined(cut), False) for cut in setup.before]
    every = [first.line(k) for k in range(len(first.cuts)) if k != split.partly]
    cut = line.part(0.0, split.at)
    rings = [ring for k in split.done if (ring := first.ring(k)) is not None]
    halves = [first.cuts[k].kerf / 2 for k in split.done] + [cut.kerf / 2 for cut in setup.before]
    faces = loose_faces(*hanging_together(cut, half, done, halves))
    return Around(
        void=Bundle.of([*done, cut]).segments(),
        others=Bundle.of(every).segments() if every else nothing(),
        freed=Bundle.of([*rings, *(ring for c in setup.before if (ring := ring_of(c)) is not None)]),
        faces=faces,
        kept=Bundle.of([contour.path for contour in drawn]) if drawn else None,
        plate=setup.plate,
        half=half,
    )


def _frame(line: Path, at: float) -> tuple[Floats, Floats]:
    """Return the point at a length along a path, and the unit tangent there."""
    s = line.segments()
    ends = np.cumsum(s.lengths())
    k = min(int(np.searchsorted(ends, at, side="right")), len(s) - 1)
    share = np.array([np.clip(1.0 - (ends[k] - at) / s.lengths()[k], 0.0, 1.0)])
    which = np.array([k])
    return s.points(which, share)[0], s.tangents(which, share)[0]


def _scrap_sides(first: FirstProgram, k: int, line: Path, at: float, around: Around) -> list[float]:
    """Return the sides of the path that are scrap: by the drawing, else by the rings of the program; none of a slit."""
    point, way = _frame(line, at)
    left = np.array([-way[1], way[0]])
    if around.kept is not None:
        reach = around.half + 0.3
        metal = inside(around.kept, np.array([point + reach * left, point - reach * left]))
        return [side for side, kept in zip((LEFT, RIGHT), metal.tolist(), strict=True) if not kept]
    ring = first.ring(k)
    if ring is None:
        return []
    depth, _parent = nesting(first.path.rings)
    mine = [r for r in np.flatnonzero(first.path.ring_run == k).tolist()]
    outer = int(depth[mine[0]]) % 2 == 0  # an outline: what it surrounds is kept
    counter_clockwise = ring.area() > 0
    return [LEFT if counter_clockwise != outer else RIGHT]


# --- a lead beside the path -----------------------------------------------------------------------------------


def _beside(
    cut: Cut,
    line: Path,
    at: float,
    side: float,
    clear: Clearances,
    around: Around,
    turns: Sequence[float] = TURNS_DEG,
    furthers: Sequence[float] = FURTHER,
) -> Iterator[Cut]:
    """Yield cuts with a straight lead from the scrap onto the path, the nearest to square first."""
    point, way = _frame(line, at)
    out = side * np.array([-way[1], way[0]])
    rest = line.part(at, line.length())
    least = clear.face + around.half
    for further in furthers:
        for degrees in turns:
            turn = math.radians(degrees)
            direction = math.cos(turn) * out + math.sin(turn) * way
            pierce = point + (least + further) / max(math.cos(turn), 0.5) * direction
            if _fits(pierce, point, rest, clear, around):
                lead = Path.polyline([pierce, point])
                yield cut_along(cut, rest, (float(pierce[0]), float(pierce[1])), lead)


def _fits(pierce: Floats, point: Floats, rest: Path, clear: Clearances, around: Around) -> bool:
    lead = Segments.between(pierce[None], point[None], np.zeros(1))
    if not _on_plate(pierce, clear, around) or _near(pierce, around.void) < clear.face + around.half - 1e-6:
        return False
    long = float(np.hypot(*(point - pierce)))
    head = pierce + (point - pierce) * max(1.0 - 3 * around.half / long, 0.1)  # but for where it joins what was cut
    way = Segments.between(pierce[None], head[None], np.zeros(1))
    if _least(way, around.void) < 0.7 * around.half:
        return False
    if len(around.others) and _least(way if around.further else lead, around.others) < 2 * around.half:
        return False
    ahead = 2 * clear.face
    if rest.length() > ahead and _near(pierce, rest.part(ahead, rest.length()).segments()) < 2 * around.half:
        return False
    if around.kept is None:
        return True
    kept = around.kept.segments()
    if _near(pierce, kept) < clear.edge or bool(inside(around.kept, pierce[None])[0]):
        return False
    return _least(lead, kept) >= around.half - 5e-3


def _on_plate(pierce: Floats, clear: Clearances, around: Around) -> bool:
    if around.plate is None:
        return True
    x0, y0, x1, y1 = around.plate
    x, y = pierce
    return bool(min(x - x0, y - y0, x1 - x, y1 - y) >= clear.plate - 1e-6)


def _near(point: Floats, s: Segments) -> float:
    if not len(s):
        return math.inf
    return float(point_distances(np.tile(point, (len(s), 1)), s, np.arange(len(s))).min())


def _least(a: Segments, b: Segments) -> float:
    return float(pair_distances(a, np.zeros(len(b), dtype=np.int64), b, np.arange(len(b))).min())


# --- a slit: from its end back --------------------------------------------------------------------------------


def _from_the_end(cut: Cut, line: Path, at: float, clear: Clearances, around: Around) -> Cut | None:
    """Return the rest of a slit, cut from its far end back into its own kerf; None if that end is not sound."""
    rest = line.part(at, line.length()).reversed()
    pierce = rest.start
    if _near(pierce, around.void) < clear.face + around.half or not _on_plate(pierce, clear, around):
        return None
    return cut_along(cut, rest, (float(pierce[0]), float(pierce[1])))
