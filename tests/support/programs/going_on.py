"""Programs gone on with at random places, judged from their texts by unions of swept kerfs (``scripts/resumes.py``)."""

from __future__ import annotations

import math
import random
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

from shapely import LineString, Point, Polygon, box, unary_union

from kerfproof import api
from kerfproof.errors import KerfproofError, Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.resume.combined_proof import Setup
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from support.referees.plain_program import burned, kerf_of, touched, upto
from support.shop.shop import DEMOS, DIALECTS, built_in, cut, demo, dxf

SEEN = 0.06
"""Metal taken or left by less than this is not told, mm."""


# --- drawings ---------------------------------------------------------------------------------------------------


def ring(corners: int, radius: float, turn: float = 0.0) -> list[tuple[float, float]]:
    """Return the corners of a regular polygon about zero."""
    angles = [turn + 2 * math.pi * k / corners for k in range(corners)]
    return [(radius * math.cos(a), radius * math.sin(a)) for a in angles]


SHAPES = {
    "triangle": ring(3, 24, 0.3),
    "hexagon": ring(6, 18, 0.1),
    "diamond": ring(4, 20),
    "letter L": [(-14, -20), (14, -20), (14, -8), (-2, -8), (-2, 20), (-14, 20)],
    "letter T": [(-6, -20), (6, -20), (6, 6), (18, 8), (18, 20), (-18, 20), (-18, 8), (-6, 6)],
    "letter V": [(0, -20), (18, 20), (6, 20), (0, 4), (-6, 20), (-18, 20)],
}
SLOT, ROUND = "slot", "round"


def _hole(space, name: str, x: float, y: float) -> None:
    if name == ROUND:
        space.add_circle((x, y), 15)
    elif name == SLOT:
        corners = [(-14, -9, 0), (14, -9, 1), (14, 9, 0), (-14, 9, 1)]
        turned = [(0.8 * a - 0.6 * b + x, 0.6 * a + 0.8 * b + y, c) for a, b, c in corners]
        space.add_lwpolyline(turned, format="xyb", close=True)
    else:
        space.add_lwpolyline([(x + a, y + b) for a, b in SHAPES[name]], close=True)


def plate_with(*holes: str, parts: bool = False):
    """Return what draws a leaning plate with holes, or its shapes as parts of their own."""

    def draw(space) -> None:
        if not parts:
            width = 60 * len(holes)
            corners = [(0, 0), (width, 4), (width - 5, 70), (20, 66), (3, 50)]
            space.add_lwpolyline(corners, close=True)
        for k, name in enumerate(holes):
            _hole(space, name, 32 + 56 * k, 34)

    return draw


DRAWINGS = {
    **{f"{name} in a plate": plate_with(name) for name in (*SHAPES, SLOT, ROUND)},
    "letters in a plate": plate_with("letter L", "letter T", "letter V"),
    "mixed holes": plate_with("triangle", SLOT, "hexagon"),
    "loose shapes": plate_with("triangle", "letter T", "diamond", parts=True),
}


@cache
def first_of(name: str, dialect: str, inches: bool, tabs: int = 0) -> api.Outcome:
    """Return the program that is gone on with."""
    data = demo(name) if name in DEMOS else dxf(DRAWINGS[name])
    return cut(
        data, replace(built_in(), dialect=dialect, inches=inches, path_tolerance=None), name=f"{name}.dxf", tabs=tabs
    )


def setup_of(outcome: api.Outcome) -> Setup:
    """Return what a program was for."""
    closed, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    return Setup(
        machine=outcome.machine, process=outcome.process, control=control_of(outcome.machine), drawn=closed,
        slits=slits, plate=outcome.plan.plate, name="first.nc", digest="0123", tabs=outcome.plan.tabs,
    )  # fmt: skip


# --- what is asked for, and what really was cut -------------------------------------------------------------------


@dataclass(frozen=True)
class Try:
    """Where a program stopped, and how it is told: `lost` mm from the pierce of cut `stopped` (from 0)."""

    program: tuple[str, str, bool]
    stopped: int
    lost: float
    cold: tuple[int, ...]
    wish: Wish

    def words(self) -> str:
        name, dialect, inches = self.program
        unit = "in" if inches else "mm"
        return f"{name}, {dialect} {unit}: {self.wish} (lost {self.lost:.2f} in cut {self.stopped + 1})"


def plain_lines(text: str, inches: bool) -> list[list[tuple[float, float]]]:
    """Return the torch-on polylines of a program, mm."""
    scale = 25.4 if inches else 1.0
    return [[(scale * x, scale * y) for x, y in line] for line in burned(text)]


def some(dice: random.Random, names: tuple[str, ...] = (*DRAWINGS, *DEMOS)) -> Try:
    """Return a random try."""
    program = (dice.choice(names), dice.choice(DIALECTS), dice.random() < 0.4)
    outcome = first_of(*program)
    lines = plain_lines(outcome.program.text, program[2])
    count = len(lines)
    stopped = dice.randrange(count)
    line = LineString(lines[stopped])
    kind = dice.choice(("middle", "middle", "middle", "closing", "near", "near", "start", "cold", "cold middle"))
    cold: tuple[int, ...] = ()
    if "cold" in kind and stopped:
        cold = tuple(sorted(dice.sample(range(stopped), min(stopped, dice.randint(1, 2)))))
    if kind in ("start", "cold"):
        wish = Wish(from_cut=stopped + 1, unlit=tuple(k + 1 for k in cold))
        return Try(program, stopped, 0.0, cold, wish)
    kerf = outcome.plan.cuts[stopped].kerf
    lost = dice.uniform(0.5, line.length - 0.1)
    if kind == "closing":  # the last stretch before the cut closes, and the over-burn
        lost = max(0.5, line.length - dice.uniform(0.1, 10 * kerf))
    if kind == "near":
        p = line.interpolate(lost)
        place = (p.x + dice.uniform(-0.3, 0.3), p.y + dice.uniform(-0.3, 0.3))
        return Try(program, stopped, lost, cold, Wish(from_cut=stopped + 1, near=place))
    wish = Wish(from_cut=stopped + 1, at=lost, unlit=tuple(k + 1 for k in cold))
    return Try(program, stopped, lost, cold, wish)


# --- the judge ----------------------------------------------------------------------------------------------------


def _pieces(metal) -> list[Polygon]:
    return [p for p in getattr(metal, "geoms", [metal]) if p.area > 0.5]


def _kept(outcome: api.Outcome) -> list[Polygon]:
    """Return the drawn parts, flattened, by how their contours lie in each other."""
    rings = [Polygon(c.path.flattened(0.01)) for c in api.drawn_contours(outcome.parts, outcome.left_out)[0]]
    out = []
    for k, one in enumerate(rings):
        around = [other for j, other in enumerate(rings) if j != k and other.contains(one)]
        if len(around) % 2 == 0:
            inner = [o for j, o in enumerate(rings) if j != k and one.contains(o)]
            out.append(one.difference(unary_union(inner)) if inner else one)
    return out


def wrongs(tried: Try, text: str) -> list[str]:
    """Return what is wrong with a resumed program; a reading of the two texts and shapely alone judge it."""
    outcome, inches = first_of(*tried.program), tried.program[2]
    lines = plain_lines(outcome.program.text, inches)
    kerfs = [c.kerf for c in outcome.plan.cuts]
    done = [k for k in range(tried.stopped) if k not in tried.cold]
    void = unary_union([kerf_of([lines[k]], kerfs[k]) for k in done])
    if tried.lost:
        void = unary_union([void, kerf_of([upto(lines[tried.stopped], tried.lost)], kerfs[tried.stopped])])
    x0, y0, x1, y1 = outcome.plan.plate
    plate, out = box(x0, y0, x1, y1), []
    again = plain_lines(text, inches)
    scale = 25.4 if inches else 1.0
    kerf = outcome.process.kerf
    for number, (line, at) in enumerate(zip(again, touched(text), strict=True), 1):
        pierce, touch = Point(line[0]), Point(scale * at[0], scale * at[1])
        if void.distance(pierce) < kerf - 1e-3:
            out.append(f"start {number} pierces {void.distance(pierce):.2f} mm from an open kerf")
        for what, place in (("pierces", pierce), ("touches", touch)):
            held = [p for p in _pieces(plate.difference(void)) if p.buffer(1e-6).contains(place)]
            if not held:
                out.append(f"start {number} {what} where no metal is")
            elif held[0].distance(plate.exterior) > 1e-6:
                out.append(f"start {number} {what} in a loose piece of {held[0].area:.0f} mm2")
        void = unary_union([void, kerf_of([line], kerf)])
    whole = unary_union([kerf_of([line], k) for line, k in zip(lines, kerfs, strict=True)])
    wanted, got = _pieces(plate.difference(whole)), _pieces(plate.difference(void))
    for part in _kept(outcome):
        spot = part.representative_point()
        mine = next((p for p in got if p.contains(spot)), None)
        ideal = next(p for p in wanted if p.contains(spot))
        if mine is None:
            out.append("a part is burned away")
            continue
        if (gouge := ideal.buffer(-SEEN).difference(mine)).area > 0.01:
            out.append(f"gouge of {gouge.area:.2f} mm2")
        if (left := mine.difference(ideal.buffer(SEEN))).area > 0.01:
            out.append(f"{left.area:.2f} mm2 left attached")
    return out


def reason(error: KerfproofError) -> str:
    """Return a refusal without its numbers and names."""
    return re.sub(r"\([^()]*\)|\d[\d.]*", "", error.what)[:90].strip()


@dataclass
class Counts:
    """What became of the tries."""

    tried: int
    written: int
    refused: Counter[str]
    warned: Counter[str]
    wrong: list[str]


def judged(
    count: int, seed: int, names: tuple[str, ...] = (*DRAWINGS, *DEMOS), tell: Callable[[str], None] = lambda _: None
) -> Counts:
    """Return what becomes of so many random tries; `tell` is told of each that was refused."""
    dice = random.Random(seed)
    told = Counts(0, 0, Counter(), Counter(), [])
    while told.tried < count:
        tried = some(dice, names)
        told.tried += 1
        outcome = first_of(*tried.program)
        try:
            made = resume(outcome.program.text, outcome.proof.trace, tried.wish, setup_of(outcome))
        except KerfproofError as error:
            told.refused[reason(error)] += 1
            tell(f"refused: {tried.words()}: {error}")
            continue
        if not made.ok:
            errors = [f for f in made.findings if f.severity is Severity.ERROR]
            told.refused["not proven: " + ", ".join(sorted({f.rule for f in errors}))] += 1
            tell(f"not proven: {tried.words()}: {errors[0].message}")
            continue
        told.written += 1
        told.warned.update({f.rule for f in made.findings if f.severity is Severity.WARNING})
        told.wrong += [f"{tried.words()}: {what}" for what in wrongs(tried, made.program.text)]
    return told
