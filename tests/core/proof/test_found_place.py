"""Programs by others, whose zero nobody told: the drawing's place, its quarter turn and its copies are found."""

from __future__ import annotations

from collections.abc import Callable
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
from support.shop.known_plate import MACHINE, PROCESS, X, Y, cut, plan, rolled

HOLE_AT = (30.0, 15.0)
"""The hole lies off the middle, so that no turn or mirror image looks alike."""


def drawn() -> tuple[Contour, ...]:
    hole = Path.circle((X + HOLE_AT[0], Y + HOLE_AT[1]), 10.0)
    return Contour(Path.rectangle(X, Y, X + 100, Y + 60), ("1",), "0"), Contour(hole, ("2",), "0")


def cuts() -> tuple[Cut, ...]:
    c = (X + HOLE_AT[0], Y + HOLE_AT[1])
    hole = cut(Path.circle(c, 9.25), Path.polyline([c, (c[0] + 9.25, c[1])]), "hole", 0, 1.0, 0.0)
    outline = rolled(100.0, 60.0, 0.75)
    return hole, cut(outline, Path.polyline([(X - 5, Y + 26), tuple(outline.start)]), "outline", 1, 1.0, 2.0)


def moved(item: Cut, matrix: np.ndarray, shift: tuple[float, float]) -> Cut:
    def at(path: Path | None) -> Path | None:
        return None if path is None else path.transformed(matrix, shift)

    x, y = matrix @ np.array(item.pierce) + shift
    return replace(
        item, pierce=(float(x), float(y)), contour=at(item.contour), lead_in=at(item.lead_in),
        over_burn=at(item.over_burn), lead_out=at(item.lead_out),
    )  # fmt: skip


TURN = np.array([[0.0, -1.0], [1.0, 0.0]])
EYE = np.eye(2)


def proof_of(
    *places: tuple[np.ndarray, tuple[float, float]], change: Callable[[str], str] = str, machine=MACHINE
) -> Proof:
    items = tuple(moved(item, matrix, shift) for matrix, shift in places for item in cuts())
    items = tuple(replace(item, feature=k) for k, item in enumerate(items))
    big = replace(machine, travel_x=5000.0, travel_y=5000.0)
    text = change(write(replace(plan(big, items), plate=(-4000.0, -4000.0, 4000.0, 4000.0)), DIALECT).text)
    return prove(text, Against(control=DIALECT, machine=big, process=PROCESS, drawn=drawn(), placed=False))


def notes(proof: Proof) -> list[str]:
    return [f.message for f in proof.findings if f.rule == "drawing-found"]


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity == "error"}


def test_a_drawing_that_lies_as_drawn_needs_no_note_beyond_its_place():
    proof = proof_of((EYE, (0.0, 0.0)))
    assert proof.ok and notes(proof) == ["the drawing's zero lies at 0.000, 0.000 mm: found from the cut"]


@pytest.mark.parametrize("shift", [(312.5, -47.25), (0.4, 0.0), (-1000.0, 2000.0)])
def test_a_shift_is_found_and_the_part_proven_there(shift: tuple[float, float]):
    proof = proof_of((EYE, shift))
    assert proof.ok and proof.edge_deviation < 1e-3 and proof.parts[0].comes_free
    assert notes(proof) == [f"the drawing's zero lies at {shift[0]:.3f}, {shift[1]:.3f} mm: found from the cut"]


@pytest.mark.parametrize(
    ("matrix", "said"),
    [
        (TURN, "90 degrees counter-clockwise"),
        (TURN @ TURN, "180 degrees"),
        (TURN @ TURN @ TURN, "90 degrees clockwise"),
    ],
)
def test_a_quarter_turn_is_found_and_named(matrix: np.ndarray, said: str):
    proof = proof_of((matrix, (300.0, 200.0)))
    assert proof.ok and proof.edge_deviation < 1e-3
    (note,) = notes(proof)
    assert f"turned by {said}" in note and note.startswith("the drawing's zero lies at 300.000, 200.000 mm")


def test_several_copies_are_all_found():
    proof = proof_of((EYE, (0.0, 0.0)), (EYE, (130.0, 0.0)), (TURN, (150.0, 120.0)))
    assert proof.ok, errors(proof)
    assert len(proof.places) == 3 and len(proof.parts) == 3 and all(part.comes_free for part in proof.parts)
    assert "surplus-cut" not in {f.rule for f in proof.findings}


def test_a_fault_in_one_copy_is_found_in_that_copy():
    proof = proof_of((EYE, (0.0, 0.0)), (EYE, (130.0, 0.0)), change=lambda t: t.replace("X250 Y80.75", "X250 Y80.55"))
    assert len(proof.places) == 2
    gouges = [f for f in proof.findings if f.rule == "gouge"]
    assert gouges and all(f.x is not None and f.x > 140 for f in gouges)


def test_a_drawing_is_found_by_the_few_of_its_features_that_were_cut():
    small = tuple(
        Contour(Path.circle((X + 20 + 6 * k, Y + 50), 2.0), (f"h{k}",), "0") for k in range(10)
    )  # ten holes that the program leaves to the drill
    items = tuple(moved(item, EYE, (312.5, -47.25)) for item in cuts())
    big = replace(MACHINE, travel_x=5000.0, travel_y=5000.0)
    text = write(replace(plan(big, items), plate=(-4000.0, -4000.0, 4000.0, 4000.0)), DIALECT).text
    proof = prove(text, Against(control=DIALECT, machine=big, process=PROCESS, drawn=(*drawn(), *small), placed=False))
    assert len(notes(proof)) == 1 and errors(proof) == {"feature-not-cut"}
    assert sum(f.rule == "feature-not-cut" for f in proof.findings) == 10
    shifted = prove(text, Against(control=DIALECT, machine=big, process=PROCESS, drawn=(*drawn(), *small), placed=True))
    assert {"shifted"} == errors(shifted) - {"off-plate", "outside-travel"}, "not a thousand gouges"


def test_two_parts_that_are_nearly_turns_of_each_other_are_found_once():
    # Either part's outline fits the other's turned by 180 degrees; only one of them has the hole.
    twin = Contour(Path.rectangle(X + 130, Y, X + 230, Y + 60), ("3",), "0")
    rim = cuts()[1]
    items = (*cuts(), moved(rim, EYE, (130.0, 0.0)))
    items = tuple(replace(moved(item, EYE, (7.0, 3.0)), feature=k) for k, item in enumerate(items))
    text = write(replace(plan(MACHINE, items), plate=(0.0, 0.0, 400.0, 200.0)), DIALECT).text
    proof = prove(
        text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=(*drawn(), twin), placed=False)
    )
    assert notes(proof) == ["the drawing's zero lies at 7.000, 3.000 mm: found from the cut"]
    assert errors(proof) == set() and len(proof.parts) == 2


def test_a_mirror_image_is_an_error_and_nothing_else_is_told_of_the_path():
    proof = proof_of((np.diag([-1.0, 1.0]), (400.0, 0.0)))
    assert errors(proof) == {"mirrored"} and notes(proof) == []


@pytest.mark.parametrize(("scale", "said"), [(25.4, "25.4 times too large"), (1 / 25.4, "25.4 times too small")])
def test_mixed_up_units_are_named(scale: float, said: str):
    # The contour itself was read in the wrong unit; kerf and leads are right.
    big = replace(PROCESS)
    w, h = 100.0 * scale, 60.0 * scale
    outline = rolled(w, h, 0.75)
    items = (cut(outline, Path.polyline([(X - 5, Y + h / 2 - 4), tuple(outline.start)]), "outline", 1, 1.0, 2.0),)
    machine = replace(MACHINE, travel_x=9000.0, travel_y=9000.0)
    text = write(replace(plan(machine, items), plate=(-4000.0, -4000.0, 4000.0, 4000.0)), DIALECT).text
    proof = prove(text, Against(control=DIALECT, machine=machine, process=big, drawn=drawn()[:1], placed=False))
    found = [f for f in proof.findings if f.rule == "wrong-scale"]
    assert len(found) == 1 and said in found[0].message
    assert not {"gouge", "metal-left", "feature-not-cut", "not-free"} & errors(proof)


@pytest.mark.parametrize("kerf", [0.0, 0.5, 1.1, 1.4, 1.6, 2.5, 4.0])
@pytest.mark.parametrize("matrix", [EYE, TURN])
def test_a_place_is_found_whatever_kerf_the_program_was_made_for(kerf: float, matrix: np.ndarray):
    made = replace(PROCESS, kerf=1.5)
    text = write(replace(plan(MACHINE, tuple(moved(c, matrix, (200.0, 100.0)) for c in cuts())),
                         plate=(0.0, 0.0, 600.0, 600.0)), DIALECT).text  # fmt: skip
    proof = prove(
        text,
        Against(
            control=DIALECT, machine=MACHINE, process=replace(made, kerf=max(kerf, 0.05)), drawn=drawn(), placed=False
        ),
    )
    (note,) = notes(proof)
    assert note.startswith("the drawing's zero lies at 200.000, 100.000 mm")
    assert "not-free" not in errors(proof) and "feature-not-cut" not in errors(proof)
    if kerf < 1.4 or kerf > 1.6:
        assert "wrong-kerf" in errors(proof) and proof.made_for == pytest.approx(1.5, abs=0.02)


def test_a_path_on_the_drawn_lines_is_found_and_told_as_coming_out_too_small():
    c = (X + HOLE_AT[0], Y + HOLE_AT[1])
    hole = cut(Path.circle(c, 10.0), Path.polyline([c, (c[0] + 10.0, c[1])]), "hole", 0, 1.0, 0.0)
    line = Path.polyline([(X, Y + 30), (X, Y + 60), (X + 100, Y + 60), (X + 100, Y), (X, Y)], closed=True)
    rim = cut(line, Path.polyline([(X - 5, Y + 26), tuple(line.start)]), "outline", 1, 1.0, 2.0)
    items = tuple(replace(moved(item, EYE, (50.0, 40.0)), feature=k) for k, item in enumerate((hole, rim)))
    text = write(replace(plan(MACHINE, items), plate=(0.0, 0.0, 600.0, 600.0)), DIALECT).text
    proof = prove(text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), placed=False))
    assert notes(proof) == ["the drawing's zero lies at 50.000, 40.000 mm: found from the cut"]
    assert errors(proof) == {"feature-differs"}
    told = {f.message for f in proof.findings if f.rule == "feature-differs"}
    assert told == {
        "the outline of 100 x 60 mm comes out as outline of 98.5 x 58.5 mm",
        "the hole D20 comes out as hole D21.5",
    }


def test_a_drawing_that_is_not_in_the_program_is_told_as_not_cut():
    proof = prove(
        write(plan(MACHINE, cuts()), DIALECT).text,
        Against(
            control=DIALECT,
            machine=MACHINE,
            process=PROCESS,
            drawn=(Contour(Path.circle((500, 500), 40.0), ("9",), "0"),),
            placed=False,
        ),
    )
    assert errors(proof) == {"feature-not-cut"} and notes(proof) == []
    (told,) = [f for f in proof.findings if f.rule == "feature-not-cut"]
    assert "found nowhere" in told.message


def test_a_mirror_image_of_an_outline_of_many_edges_is_told_by_its_one_hole():
    # 60 corners on a circle look alike mirrored; the hole off the middle does not.
    angles = np.linspace(0, 2 * np.pi, 61)[:-1]
    ring = np.column_stack([np.cos(angles), np.sin(angles)])
    outline = Contour(Path.polyline(100 + 50 * ring, closed=True), ("1",), "0")
    hole = Contour(Path.circle((125.0, 100.0), 10.0), ("2",), "0")
    reach = 50 + 0.75 / np.cos(np.pi / 60)
    torch = Path.polyline((100 + reach * ring)[::-1], closed=True)
    lead = Path.polyline([(100 + 57, 100.0), tuple(torch.start)])
    items = (
        cut(Path.circle((75.0, 100.0), 9.25), Path.polyline([(75.0, 100.0), (84.25, 100.0)]), "hole", 0, 1.0, 0.0),
        cut(torch, lead, "outline", 1, 1.0, 2.0),
    )
    text = write(replace(plan(MACHINE, items), plate=(0.0, 0.0, 200.0, 200.0)), DIALECT).text
    for placed in (True, False):
        proof = prove(
            text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=(outline, hole), placed=placed)
        )
        named = {f.rule for f in proof.findings if f.rule in ("mirrored", "turned", "shifted")}
        assert named == ({"turned"} if placed else set()), "half a turn explains it as well as a mirror"
        assert not {"gouge", "metal-left", "feature-not-cut", "surplus-cut"} & errors(proof)
