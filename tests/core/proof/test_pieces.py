"""What comes free without a drawing, what rests on the slats, and pieces that several cuts free together."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.balance_on_slats import carried, center_of_gravity, rests, support
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.programs.examples import FIND, HEAD, LIGHT
from support.programs.stock_words import circle
from support.shop.known_plate import MACHINE, MACHINES, PLATE, PROCESS, drawn, program


def machine(pitch: float, offset: float = 0.0):
    from dataclasses import replace

    return replace(MACHINE, slat_pitch=pitch, slat_offset=offset)


# --- pieces -------------------------------------------------------------------------------------------------


def test_the_known_plate_is_told_by_size_and_hole_without_a_drawing():
    (piece,) = prove(program(DIALECT), Against(control=DIALECT, machine=MACHINE, process=PROCESS, plate=PLATE)).pieces
    assert (piece.width, piece.height) == pytest.approx((100.0, 60.0), abs=1e-3)
    assert piece.at == pytest.approx((70.0, 50.0), abs=1e-3)
    # 100 x 60 less a circle of 20: 5685.84 mm2.
    assert piece.area == pytest.approx(6000 - math.pi * 100, abs=0.05)
    (hole,) = piece.openings
    assert hole.diameter == pytest.approx(20.0, abs=1e-3) and hole.at == pytest.approx((70.0, 50.0), abs=1e-3)
    assert piece.rests is None


def test_with_a_drawing_pieces_are_not_listed():
    assert (
        prove(
            program(DIALECT), Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), plate=PLATE)
        ).pieces
        == ()
    )


def without_drawing(body: str) -> Proof:
    text = HEAD + body.replace("-49", "-84", 1) + "M2\n"
    return prove(text, Against(control=DIALECT, machine=MACHINE, process=PROCESS))


def test_ring_in_ring_in_ring_are_two_pieces_one_with_a_hole():
    proof = without_drawing(circle(100, 100, 10) + circle(100, 100, 30) + circle(100, 100, 60))
    inner, outer = proof.pieces
    # The innermost disc (path radius 10) lies in the hole (30) of the outer piece (60); half a kerf is 0.75.
    assert inner.width == pytest.approx(2 * 9.25, abs=1e-2) and inner.openings == ()
    assert outer.width == pytest.approx(2 * 59.25, abs=1e-2)
    assert outer.openings[0].diameter == pytest.approx(2 * 30.75, abs=1e-2)


# --- several cuts together ----------------------------------------------------------------------------------


def stretch(points: list[tuple[float, float]], lead: tuple[float, float]) -> str:
    """Return the words of an open cut through points, begun at `lead`."""
    out = f"G0 X{lead[0]} Y{lead[1]}\n{FIND.replace('-84', '-49')}{LIGHT}"
    feed = " F2200"
    for x, y in points:
        out += f"G1 X{x} Y{y}{feed}\n"
        feed = ""
    return out + "M5\nG4 P0.3\nG0 Z25\n"


LEFT = stretch([(69.25, 80.75), (19.25, 80.75), (19.25, 19.25), (70.75, 19.25)], (69.25, 84.0))
RIGHT = stretch([(70.75, 19.25), (120.75, 19.25), (120.75, 80.75), (69.25, 80.75)], (70.75, 16.0))
RECTANGLE = (Contour(Path.rectangle(20, 20, 120, 80), ("1",), "0"),)


def against(body: str) -> Proof:
    text = HEAD + body.replace("-49", "-84", 1) + "M2\n"
    return prove(text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=RECTANGLE, plate=PLATE))


def rules(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings}


def test_an_outline_cut_in_two_halves_comes_free():
    proof = against(LEFT + RIGHT)
    assert proof.parts[0].comes_free
    assert "not-free" not in rules(proof) and "feature-not-cut" not in rules(proof)


def test_one_half_alone_frees_nothing():
    proof = against(LEFT)
    assert not proof.parts[0].comes_free and "not-free" in rules(proof)


TABBED = stretch([(19.25, 80.75), (120.75, 80.75), (120.75, 19.25), (19.25, 19.25), (19.25, 46.0)], (19.25, 56.0))
TAB = stretch([(19.25, 58.0)], (19.25, 44.0))


def test_a_part_on_a_tab_is_not_free_until_the_tab_is_cut():
    assert "not-free" in rules(against(TABBED)) and not against(TABBED).parts[0].comes_free
    proof = against(TABBED + TAB)
    assert proof.parts[0].comes_free and "not-free" not in rules(proof)


HOLE = circle(60, 50, 8)


def test_a_hole_after_both_halves_lies_in_a_loose_piece_and_between_them_in_a_firm_one():
    assert "hole-after-outline" in rules(without_drawing(LEFT + RIGHT + HOLE))
    assert "hole-after-outline" not in rules(without_drawing(LEFT + HOLE + RIGHT))
    assert "hole-after-outline" not in rules(without_drawing(TABBED + HOLE + TAB))


def test_pieces_of_two_halves_are_told_without_a_drawing():
    (piece,) = without_drawing(LEFT + RIGHT).pieces
    assert (piece.width, piece.height) == pytest.approx((100.0, 60.0), abs=0.02)


# --- statics ------------------------------------------------------------------------------------------------


def test_the_centre_of_gravity_of_plain_shapes():
    assert center_of_gravity(Path.rectangle(0, 0, 40, 20)) == pytest.approx([20, 10])
    # A right triangle's centroid lies at a third of its legs; a half disc's at 4 r / 3 pi.
    assert center_of_gravity(Path.polyline([(0, 0), (30, 0), (0, 60)], closed=True)) == pytest.approx([10, 20])
    half = Path([(10, 0, 1.0), (-10, 0, 0.0)], True)
    assert center_of_gravity(half) == pytest.approx([0, 40 / (3 * math.pi)], abs=1e-3)
    # 40 x 20 less a 10 x 10 hole at its left end: (800 * 20 - 100 * 5) / 700.
    hole = Path.rectangle(0, 5, 10, 15)
    assert center_of_gravity(Path.rectangle(0, 0, 40, 20), [hole])[0] == pytest.approx(15500 / 700)


def test_the_slats_under_a_piece():
    places = support(Path.rectangle(10, 0, 110, 40), 50.0, 0.0)
    assert sorted(map(tuple, places.tolist())) == [(50.0, 0.0), (50.0, 40.0), (100.0, 0.0), (100.0, 40.0)]
    assert len(support(Path.rectangle(10, 0, 40, 40), 50.0, 0.0)) == 0


@pytest.mark.parametrize(
    ("box", "expected"),
    [
        ((10, 0, 110, 40), True),  # on slats at 50 and 100, its middle at 60
        ((20, 0, 80, 40), False),  # on one slat alone
        ((60, 0, 90, 40), False),  # between two: falls through
        ((45, 0, 165, 40), True),
        ((48, 0, 300, 40), True),
        ((49, 0, 101.5, 40), True),  # its middle at 75
    ],
)
def test_a_piece_rests_when_its_centre_lies_over_what_carries_it(box, expected: bool):
    assert rests(machine(50.0), Path.rectangle(*box), []) is expected


def test_a_hammer_whose_head_hangs_over_tips():
    # A handle over slats at 0 and 50, a heavy head beyond x = 55: the centre of gravity lies outside.
    hammer = Path.polyline([(-5, 18), (55, 18), (55, 0), (95, 0), (95, 40), (55, 40), (55, 22), (-5, 22)], closed=True)
    assert center_of_gravity(hammer)[0] > 60
    assert rests(machine(50.0, 0.0), hammer, []) is False
    assert rests(machine(50.0, -10.0), hammer, []) is True, "with a slat under the head it rests"


def test_unknown_slats_say_nothing_and_a_line_carries_nothing():
    assert rests(MACHINE, Path.rectangle(0, 0, 10, 10), []) is None
    assert not carried(np.array([0.0, 0.0]), np.array([[0.0, -5], [0, 5], [0, 1]]))


def test_travel_over_a_piece_that_rests_is_fine():
    from dataclasses import replace

    body = (
        circle(100, 100, 10) + circle(100, 100, 60) + stretch([(170, 100), (171, 100)], (20, 100)) + circle(220, 100, 8)
    )
    text = HEAD + body.replace("-49", "-84", 1) + "M2\n"
    found = {
        pitch: {
            f.rule
            for f in prove(
                text, Against(control=DIALECT, machine=replace(MACHINE, slat_pitch=pitch), process=PROCESS)
            ).findings
        }
        for pitch in (0.0, 50.0, 400.0)
    }
    assert "travel-over-tipping" in found[0.0], "unknown slats"
    assert "travel-over-tipping" not in found[50.0], "it rests on several"
    assert "travel-over-tipping" in found[400.0], "no slat is under it"
    assert MACHINES["contact-float"].slat_pitch == 0.0
