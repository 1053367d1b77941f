"""Rings in rings, whose middles are one: a place is told by the middle and the size of what is cut there."""

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
from support.shop.known_plate import MACHINE, PROCESS, cut, plan, rolled

BIG = replace(MACHINE, travel_x=5000.0, travel_y=5000.0)
HALF = PROCESS.kerf / 2
EYE = np.eye(2)
TURN = np.array([[0.0, -1.0], [1.0, 0.0]])
Place = tuple[np.ndarray, tuple[float, float]]
PLACES: dict[str, tuple[Place, ...]] = {
    "as drawn": ((EYE, (0.0, 0.0)),),
    "shifted": ((EYE, (312.5, 147.25)),),
    "turned": ((TURN, (312.5, 147.25)),),
    "three copies": ((EYE, (300.0, 200.0)), (EYE, (540.0, 210.0)), (TURN, (300.0, 500.0))),
}


def contour(reach: float, square: bool) -> Contour:
    """Return a drawn square or circle about zero that reaches so far to each side."""
    path = Path.rectangle(-reach, -reach, reach, reach) if square else Path.circle((0.0, 0.0), reach)
    return Contour(path, (f"{reach:g}",), "0")


def way(reach: float, square: bool, outline: bool) -> Cut:
    """Return the cut of such a contour on its scrap side."""
    if outline and square:
        path = rolled(2 * reach, 2 * reach, HALF, -reach, -reach)
    elif outline:
        far = reach + HALF
        path = Path([(-far, 0.0, -1.0), (far, 0.0, -1.0)], True)
    elif square:
        r = reach - HALF
        path = Path.polyline([(0.0, -r), (r, -r), (r, r), (-r, r), (-r, -r)], closed=True)
    else:
        path = Path.circle((0.0, 0.0), reach - HALF)
    x, y = path.start
    lead = (x - 3.0, y) if outline else (x, y + 3.0) if square else (x - 3.0, y)
    return cut(path, Path.polyline([lead, (float(x), float(y))]), "outline" if outline else "hole", 0, 1.0, 0.0)


def ring(*reaches: float, square: bool = False) -> tuple[tuple[Contour, ...], tuple[Cut, ...]]:
    """Return a drawing of contours one in another, the largest first, and its cuts, the smallest first."""
    drawn = tuple(contour(reach, square) for reach in reaches)
    return drawn, tuple(way(reach, square, k % 2 == 0) for k, reach in reversed(list(enumerate(reaches))))


def moved(item: Cut, place: Place) -> Cut:
    matrix, shift = place

    def at(path: Path | None) -> Path | None:
        return None if path is None else path.transformed(matrix, np.array(shift))

    x, y = matrix @ np.array(item.pierce) + shift
    return replace(
        item, pierce=(float(x), float(y)), contour=at(item.contour), lead_in=at(item.lead_in),
        over_burn=at(item.over_burn),
    )  # fmt: skip


def proof_of(items: tuple[Cut, ...], places: tuple[Place, ...], *drawings: tuple[Contour, ...]) -> Proof:
    every = [moved(item, place) for place in places for item in items]
    numbered = tuple(replace(item, feature=k) for k, item in enumerate(every))
    text = write(replace(plan(BIG, numbered), plate=(-2000.0, -2000.0, 2000.0, 2000.0)), DIALECT).text
    drawn = tuple(c for drawing in drawings for c in drawing)
    counts = tuple((len(drawing), 0) for drawing in drawings)
    return prove(text, Against(control=DIALECT, machine=BIG, process=PROCESS, drawn=drawn, placed=False, counts=counts))


def errors(proof: Proof) -> list[str]:
    return [f.sentence() for f in proof.findings if f.severity == "error"]


@pytest.mark.parametrize("places", PLACES.values(), ids=PLACES)
@pytest.mark.parametrize("square", [False, True], ids=["round", "square"])
@pytest.mark.parametrize("reaches", [(40.0, 20.0), (40.0, 37.0), (80.0, 60.0, 48.0, 20.0), (90.0, 60.0, 40.0)])
def test_a_drawing_of_rings_is_found_and_proven(
    reaches: tuple[float, ...], square: bool, places: tuple[Place, ...]
) -> None:
    drawn, items = ring(*reaches, square=square)
    proof = proof_of(items, places, drawn)
    assert errors(proof) == []
    outlines = (len(reaches) + 1) // 2
    assert len(proof.places) == len(places) and len(proof.parts) == outlines * len(places)
    assert all(part.comes_free and part.holes_cut == part.holes for part in proof.parts)
    assert not [f for f in proof.findings if f.rule == "surplus-cut"]


@pytest.mark.parametrize("places", PLACES.values(), ids=PLACES)
@pytest.mark.parametrize("square", [False, True], ids=["round", "square"])
@pytest.mark.parametrize("inner", [(30.0,), (30.0, 15.0)])
@pytest.mark.parametrize("turned", [False, True])
def test_a_part_cut_from_the_slug_of_another_is_found_by_its_own_drawing(
    inner: tuple[float, ...], square: bool, places: tuple[Place, ...], turned: bool
) -> None:
    around, within = ring(60.0, 45.0, square=square), ring(*inner, square=square)
    drawings = [around[0], within[0]][:: -1 if turned else 1]
    proof = proof_of((*within[1], *around[1]), places, *drawings)
    assert errors(proof) == []
    assert len(proof.parts) == 2 * len(places) and all(part.comes_free for part in proof.parts)


@pytest.mark.parametrize("places", PLACES.values(), ids=PLACES)
def test_a_hole_in_the_middle_that_is_missing_or_off_is_told(places: tuple[Place, ...]) -> None:
    drawn, items = ring(40.0, 20.0)
    short = proof_of(items[1:], places, drawn)
    assert {f.rule for f in short.findings if f.severity == "error"} == {"feature-not-cut"}
    assert sum(f.rule == "feature-not-cut" for f in short.findings) == len(places)
    off = moved(items[0], (EYE, (0.3, 0.0)))
    gouged = {f.rule for f in proof_of((off, *items[1:]), places, drawn).findings if f.severity == "error"}
    assert gouged == {"gouge", "metal-left"}
