"""What a program burns away, against closed forms: a cut of length L and kerf w sweeps L w and half a disc at each end.

The same forms hold for the pieces that come free: a closed smooth cut takes L w between slug and hole exactly.
"""

from __future__ import annotations

import math

import pytest

from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.report.data.figures import swept
from support.programs.examples import FIND, HEAD, LIGHT
from support.shop.known_plate import MACHINE, PROCESS

W = PROCESS.kerf
ENDS = math.pi * W * W / 4
H = W / 2


def proof_of(*cuts: str) -> Proof:
    """Return the proof of cuts, each given as ``x y`` of its pierce and the lines behind it."""
    blocks = []
    for number, one in enumerate(cuts):
        start, _, body = one.partition("\n")
        find = FIND if number == 0 else FIND.replace("-84", "-49")
        blocks.append(f"G0 {start}\n{find}{LIGHT}F2200\n{body}\nM5\nG4 P0.3\nG0 Z25\n")
    return prove(HEAD + "".join(blocks) + "M2\n", Against(control=DIALECT, machine=MACHINE, process=PROCESS))


def loop(x: float, y: float, r: float) -> str:
    return f"X{x + r} Y{y}\nG3 X{x - r} Y{y} I{-r} J0\nG3 X{x + r} Y{y} I{r} J0"


CASES = [
    ("a stroke of 100 mm", 151.767146, ["X10 Y10\nG1 X110"]),
    ("a closed loop of 20 mm", 94.247780, [loop(50, 50, 10)]),
    ("half a circle of 20 mm", 10 * math.pi * W + ENDS, ["X60 Y50\nG3 X40 Y50 I-10 J0"]),
    ("a sector's bow of 60 degrees", 10 * math.pi / 3 * W + ENDS,
     ["X60 Y50\nG3 X55 Y58.6603 I-10 J0"]),
    ("a ring by two loops", 2 * math.pi * 25 * W + 2 * math.pi * 15 * W, [loop(50, 50, 15), loop(50, 50, 25)]),
    ("a stadium", (80 + 20 * math.pi) * W,
     ["X30 Y40\nG1 X70\nG3 X70 Y60 I0 J10\nG1 X30\nG3 X30 Y40 I0 J-10"]),
    # Two bands share a disc and a square beside it: half of each lies in both.
    ("a right corner", 60 * W + 2 * ENDS - (math.pi * H * H * 0.75 + H * H), ["X10 Y10\nG1 X40\nG1 Y40"]),
    ("two strokes that cross", 2 * (60 * W + ENDS) - W * W, ["X10 Y50\nG1 X70", "X40 Y20\nG1 Y80"]),
    ("a stroke run twice", 60 * W + ENDS, ["X10 Y50\nG1 X70", "X10 Y50\nG1 X70"]),
]  # fmt: skip


@pytest.mark.parametrize(("name", "area", "cuts"), CASES, ids=[case[0] for case in CASES])
def test_what_is_burned_away_is_as_the_closed_form_says(name: str, area: float, cuts: list[str]) -> None:
    # Chords stand for arcs within 5 um and for the round ends, 64 to a disc.
    assert swept(proof_of(*cuts), PROCESS) == pytest.approx(area, rel=4e-4), name


def test_slug_and_hole_differ_by_the_kerf_of_the_loop_exactly() -> None:
    slug, plate = proof_of(loop(50, 50, 10)).pieces[0], proof_of(loop(50, 50, 10), loop(50, 50, 30)).pieces[0]
    hole = math.pi * (30 - H) ** 2 - plate.area
    assert slug.area == pytest.approx(math.pi * (10 - H) ** 2, rel=1e-9)
    assert hole - slug.area == pytest.approx(94.247780, abs=1e-6)


def test_an_annulus_and_a_stadium_come_out_with_their_own_areas() -> None:
    # 50 / 30 outside and inside: 1256.637061; straight 40, radius 10: 1114.159265.
    (ring,) = proof_of(loop(50, 50, 15 - H), loop(50, 50, 25 + H)).pieces
    assert ring.area == pytest.approx(1256.637061, abs=1e-5)
    r = 10 + H
    path = f"X30 Y{50 - r}\nG1 X70\nG3 X70 Y{50 + r} I0 J{r}\nG1 X30\nG3 X30 Y{50 - r} I0 J{-r}"
    (stadium,) = proof_of(path).pieces
    assert stadium.area == pytest.approx(1114.159265, abs=1e-5)
    assert (stadium.width, stadium.height) == pytest.approx((60.0, 20.0), abs=1e-9)
