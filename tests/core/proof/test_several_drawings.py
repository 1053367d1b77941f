"""Several drawings in one program that says nothing: which lies where is judged over all of them together."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.cut_plan import Cut
from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare.assigned_drawings import _matching
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.shop.known_plate import MACHINE, PROCESS, cut, plan, rolled

BIG = replace(MACHINE, travel_x=5000.0, travel_y=5000.0)
Holes = tuple[tuple[float, float], ...]
TURN = np.array([[0.0, -1.0], [1.0, 0.0]])
LEFT: Holes = ((20.0, 20.0), (20.0, 40.0))
RIGHT: Holes = ((80.0, 20.0), (50.0, 40.0))


def part(holes: Holes) -> tuple[Contour, ...]:
    """Return the drawing of a plate of 100 x 60 mm with holes of 16 mm."""
    rings = [Contour(Path.circle(at, 8.0), (f"h{k}",), "0") for k, at in enumerate(holes)]
    return (Contour(Path.rectangle(0, 0, 100, 60), ("rim",), "0"), *rings)


def cuts(holes: Holes, x: float, y: float, matrix: np.ndarray | None = None) -> list[Cut]:
    """Return the cuts of such a part whose zero lies at a place, turned there."""
    turn = np.eye(2) if matrix is None else matrix
    items = []
    for at in (turn @ np.array(hole) + (x, y) for hole in holes):
        middle = (float(at[0]), float(at[1]))
        lead = Path.polyline([middle, (middle[0] + 7.25, middle[1])])
        items.append(cut(Path.circle(middle, 7.25), lead, "hole", 0, 1.0, 0.0))
    rim = rolled(100.0, 60.0, 0.75, 0.0, 0.0)
    lead = Path.polyline([(-5.0, 26.0), tuple(rim.start)])
    rim, lead = rim.transformed(turn, (x, y)), lead.transformed(turn, (x, y))
    return [*items, cut(rim, lead, "outline", 1, 1.0, 2.0)]


def proof_of(items: list[Cut], *drawings: tuple[Contour, ...]) -> Proof:
    numbered = tuple(replace(item, feature=k) for k, item in enumerate(items))
    text = write(replace(plan(BIG, numbered), plate=(-2000.0, -2000.0, 2000.0, 2000.0)), DIALECT).text
    drawn = tuple(contour for drawing in drawings for contour in drawing)
    counts = tuple((len(drawing), 0) for drawing in drawings)
    return prove(text, Against(control=DIALECT, machine=BIG, process=PROCESS, drawn=drawn, placed=False, counts=counts))


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity == "error"}


def places(proof: Proof) -> set[tuple[float, float]]:
    return {(round(float(p.shift[0]), 3), round(float(p.shift[1]), 3)) for p in proof.places}


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_two_drawings_with_one_outline_are_told_apart_by_their_holes(order: tuple[int, int]):
    items = cuts(LEFT, 100.0, 0.0) + cuts(RIGHT, 300.0, 50.0)
    drawings = [part(LEFT), part(RIGHT)]
    proof = proof_of(items, *(drawings[k] for k in order))
    assert proof.ok, errors(proof)
    assert places(proof) == {(100.0, 0.0), (300.0, 50.0)} and len(proof.parts) == 2
    assert "surplus-cut" not in {f.rule for f in proof.findings}


@pytest.mark.parametrize("moved", [LEFT, RIGHT])
def test_a_moved_hole_in_either_of_them_is_an_error_at_its_own_place(moved: Holes):
    off = (moved[0][0] + 0.3, moved[0][1])
    first, second = ((off, moved[1]) if holes is moved else holes for holes in (LEFT, RIGHT))
    proof = proof_of(cuts(first, 100.0, 0.0) + cuts(second, 300.0, 50.0), part(LEFT), part(RIGHT))
    assert places(proof) == {(100.0, 0.0), (300.0, 50.0)}
    found = [f for f in proof.findings if f.severity == "error"]
    x = (100.0 if moved is LEFT else 300.0) + moved[0][0]
    assert found and all(f.x is not None and abs(f.x - x) < 12 for f in found), [f.sentence() for f in found]


def test_a_missing_hole_does_not_let_the_other_drawing_take_the_place():
    proof = proof_of(cuts((), 100.0, 0.0) + cuts(RIGHT[:1], 300.0, 50.0), part(LEFT[:1]), part(RIGHT[:1]))
    assert places(proof) == {(100.0, 0.0), (300.0, 50.0)}
    (told,) = (f for f in proof.findings if f.severity == "error")
    assert told.rule == "feature-not-cut" and (told.x, told.y) == pytest.approx((100 + LEFT[0][0], LEFT[0][1]), abs=9)


def test_a_part_without_any_of_its_holes_is_an_error():
    assert errors(proof_of(cuts((), 100.0, 0.0) + cuts(RIGHT, 300.0, 50.0), part(LEFT), part(RIGHT)))


def test_a_plain_plate_and_one_with_a_hole_both_find_their_own():
    plain, holed = cuts((), 0.0, 0.0), cuts(LEFT[:1], 200.0, 0.0)
    for drawings in itertools.permutations([part(()), part(LEFT[:1])]):
        proof = proof_of(plain + holed, *drawings)
        assert proof.ok and "surplus-cut" not in {f.rule for f in proof.findings}, errors(proof)
        assert len(proof.parts) == 2


@pytest.mark.parametrize(
    "other",
    [tuple((100.0 - x, y) for x, y in LEFT), tuple((100.0 - x, 60.0 - y) for x, y in LEFT)],
    ids=["mirror image", "half a turn"],
)
def test_a_left_and_a_right_hand_are_both_found(other: Holes):
    items = cuts(LEFT, 0.0, 0.0) + cuts(other, 200.0, 0.0)
    for drawings in itertools.permutations([part(LEFT), part(other)]):
        proof = proof_of(items, *drawings)
        assert proof.ok and places(proof) == {(0.0, 0.0), (200.0, 0.0)}, errors(proof)


def test_one_that_is_cut_only_mirrored_is_told_so():
    oblique = ((20.0, 15.0), (30.0, 45.0))
    wrong = tuple((100.0 - x, y) for x, y in oblique)
    proof = proof_of(cuts(wrong, 0.0, 0.0) + cuts((), 200.0, 0.0), part(oblique), part(()))
    assert "feature-not-cut" in errors(proof)
    assert any("found only so: the whole cut is mirrored" in f.message for f in proof.findings)


@pytest.mark.parametrize("times", [1, 2])
def test_two_copies_are_right_whether_the_drawing_was_given_once_or_twice(times: int):
    proof = proof_of(cuts(LEFT, 0.0, 0.0) + cuts(LEFT, 200.0, 0.0), *[part(LEFT)] * times)
    assert proof.ok and len(proof.places) == 2 and len(proof.parts) == 2, errors(proof)


def test_one_copy_of_a_drawing_given_twice_is_an_error():
    proof = proof_of(cuts(LEFT, 0.0, 0.0), part(LEFT), part(LEFT))
    assert errors(proof) == {"feature-not-cut"}
    (told,) = (f for f in proof.findings if f.severity == "error")
    assert told.message == "drawing 2 of 2 is found nowhere in the program once more"


@pytest.mark.parametrize("order", sorted(set(itertools.permutations("AAB"))))
def test_one_drawing_twice_and_another_once(order: tuple[str, ...]):
    items = cuts(RIGHT, 0.0, 0.0) + cuts(LEFT, 200.0, 0.0) + cuts(LEFT, 60.0, 100.0, TURN)
    drawings = {"A": part(LEFT), "B": part(RIGHT)}
    proof = proof_of(items, *(drawings[letter] for letter in order))
    assert proof.ok and len(proof.parts) == 3, errors(proof)
    short = proof_of(items[3:], *(drawings[letter] for letter in order))
    assert any("found nowhere" in f.message for f in short.findings) and not short.ok


def test_many_drawings_of_one_outline_each_find_their_own_place():
    rng = np.random.default_rng(7)
    grid = [(18.0 + 16.0 * column, 18.0 + 24.0 * row) for column in range(5) for row in range(2)]
    patterns: list[Holes] = []
    while len(patterns) < 6:
        pattern = tuple(grid[k] for k in sorted(rng.choice(len(grid), 5, replace=False).tolist()))
        if pattern not in patterns:
            patterns.append(pattern)
    at = [(130.0 * k, 20.0 * k) for k in range(len(patterns))]
    items = [item for holes, (x, y) in zip(patterns, at, strict=True) for item in cuts(holes, x, y)]
    proof = proof_of(items, *(part(patterns[k]) for k in rng.permutation(len(patterns)).tolist()))
    assert proof.ok and len(proof.parts) == len(patterns), errors(proof)


def test_a_drawing_of_open_lines_alone_is_told_as_not_compared():
    items = cuts(LEFT, 0.0, 0.0)
    numbered = tuple(replace(item, feature=k) for k, item in enumerate(items))
    text = write(replace(plan(BIG, numbered), plate=(-2000.0, -2000.0, 2000.0, 2000.0)), DIALECT).text
    slit = Contour(Path.polyline([(0.0, 0.0), (50.0, 0.0)]), ("s",), "0")
    drawn = part(LEFT)
    proof = prove(
        text,
        Against(
            control=DIALECT,
            machine=BIG,
            process=PROCESS,
            drawn=drawn,
            slits=(slit,),
            placed=False,
            counts=((len(drawn), 0), (0, 1)),
        ),
    )
    (told,) = (f for f in proof.findings if f.rule == "not-compared")
    assert told.severity == "warning" and told.message.startswith("drawing 2 of 2 has no closed contour")


def test_the_assignment_is_the_best_of_all():
    rng = np.random.default_rng(1)
    for _ in range(300):
        n = int(rng.integers(1, 5))
        worth = rng.integers(0, 6, (n, int(rng.integers(n, 6)))).astype(float)
        columns = _matching(worth)
        assert len(set(columns)) == n
        best = max(
            sum(worth[row, column] for row, column in enumerate(ways))
            for ways in itertools.permutations(range(worth.shape[1]), n)
        )
        assert sum(worth[row, column] for row, column in enumerate(columns)) == best
