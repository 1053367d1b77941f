"""A whole program offset for another kerf is told as that, whatever its corners and however its outlines close."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof.cut_plan import Cut
from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.shop.known_plate import MACHINE, PROCESS, cut, plan

BIG = replace(MACHINE, travel_x=3000.0, travel_y=3000.0)
Points = list[tuple[float, float]]
SHAPES: dict[str, Points] = {
    "rectangle": [(0, 0), (0, 60), (100, 60), (100, 0)],
    "small": [(0, 0), (0, 12), (20, 12), (20, 0)],
    "triangle": [(0, 0), (0, 60), (80, 0)],
    "acute": [(0, 0), (10, 60), (20, 0)],
    "with an inside corner": [(0, 0), (0, 60), (30, 60), (30, 25), (90, 25), (90, 0)],
}
HALVES = (0.5, 0.6, 0.9, 1.0, 1.25)


def mitred(points: Points, half: float) -> list[np.ndarray]:
    """Return the corners of a clockwise outline grown by half a kerf, with sharp corners."""
    out = []
    for k, here in enumerate(points):
        b = np.array(here)
        u, v = b - np.array(points[k - 1]), np.array(points[(k + 1) % len(points)]) - b
        u, v = u / np.hypot(*u), v / np.hypot(*v)
        a, c = np.array([-u[1], u[0]]), np.array([-v[1], v[0]])
        out.append(b + half * (a + c) / (1 + a @ c))
    return out


def crossing(points: Points, half: float, over: float) -> Cut:
    """Return a run round an outline whose two ends run past its first corner and cross there."""
    corners = mitred(points, half)
    first, second, last = corners[0], corners[1], corners[-1]
    out, back = (second - first) / np.hypot(*(second - first)), (first - last) / np.hypot(*(first - last))
    way = Path.polyline([tuple(first - over * out), *map(tuple, corners[1:]), tuple(first + over * back)])
    x, y = way.start
    return Cut(feature=0, kind="outline", part="p", label="o", pierce=(float(x), float(y)), contour=way,
               feed_mm_min=2200.0, kerf=1.5)  # fmt: skip


def hole(at: tuple[float, float], radius: float, half: float) -> Cut:
    r = radius - half
    lead = Path.polyline([(at[0] + r - 3, at[1]), (at[0] + r, at[1])])
    return cut(Path.circle(at, r), lead, "hole", 1, 1.0, 0.0)


def proof_of(points: Points, *items: Cut, holes: tuple[tuple[tuple[float, float], float], ...] = ()) -> Proof:
    numbered = tuple(replace(item, feature=k) for k, item in enumerate(items))
    text = write(replace(plan(BIG, numbered), plate=(-500.0, -500.0, 500.0, 500.0)), DIALECT).text
    paths = [Path.polyline(points, closed=True), *(Path.circle(at, radius) for at, radius in holes)]
    drawn = tuple(Contour(path, (str(k),), "0") for k, path in enumerate(paths))
    return prove(text, Against(control=DIALECT, machine=BIG, process=PROCESS, drawn=drawn))


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity == "error"}


@pytest.mark.parametrize("points", SHAPES.values(), ids=SHAPES)
@pytest.mark.parametrize("half", HALVES)
@pytest.mark.parametrize("over", [0.3, 3.0])
def test_an_outline_whose_ends_cross_at_a_corner_is_told_by_its_kerf(points: Points, half: float, over: float) -> None:
    proof = proof_of(points, crossing(points, half, over))
    assert errors(proof) == {"wrong-kerf"}
    assert proof.made_for == pytest.approx(2 * half, abs=0.02)


@pytest.mark.parametrize("points", SHAPES.values(), ids=SHAPES)
def test_the_same_for_the_right_kerf_is_told_nothing_of(points: Points) -> None:
    assert errors(proof_of(points, crossing(points, PROCESS.kerf / 2, 1.0))) == set()


@pytest.mark.parametrize("half", HALVES)
def test_hole_and_outline_alike_are_another_kerf_and_one_alone_is_not(half: float) -> None:
    points, at = SHAPES["rectangle"], ((50.0, 30.0), 20.0)
    both = proof_of(points, hole(*at, half), crossing(points, half, 1.0), holes=(at,))
    assert errors(both) == {"wrong-kerf"}
    alone = proof_of(points, hole(*at, PROCESS.kerf / 2), crossing(points, half, 1.0), holes=(at,))
    assert errors(alone) and "wrong-kerf" not in errors(alone)


def test_an_outline_that_does_not_close_is_not_told_by_its_kerf_alone() -> None:
    points = SHAPES["rectangle"]
    corners = mitred(points, 1.0)
    way = Path.polyline([*map(tuple, corners), (20.0, -1.0)])
    start = (float(way.start[0]), float(way.start[1]))
    run = Cut(feature=0, kind="outline", part="p", label="o", pierce=start, contour=way, feed_mm_min=2200.0, kerf=1.5)
    assert "not-free" in errors(proof_of(points, run))
