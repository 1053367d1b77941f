"""Another drawing on each sheet of one program: each is laid down and judged on the sheet whose cuts follow it."""

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
from kerfproof.proof.evidence.placed import Placing
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.shop.known_plate import MACHINE, PROCESS, cut, plan, rolled

BIG = replace(MACHINE, travel_x=5000.0, travel_y=5000.0)
NEXT = ["(MSG, next sheet)", "M0"]
XY = tuple[float, float]


class Plate:
    """A rectangle with round holes, as a drawing and as cuts."""

    def __init__(self, w: float, h: float, radius: float, *holes: XY) -> None:
        self.w, self.h, self.radius, self.holes = w, h, radius, holes

    def drawn(self, at: XY = (0.0, 0.0)) -> tuple[Contour, ...]:
        rings = [Contour(Path.circle(hole, self.radius), (f"h{k}",), "0") for k, hole in enumerate(self.holes)]
        contours = (Contour(Path.rectangle(0, 0, self.w, self.h), ("rim",), "0"), *rings)
        return Placing("", "", np.eye(2), np.array(at)).moved(contours)

    def cuts(self, at: XY, off: float = 0.0) -> list[Cut]:
        """Return its cuts; the first hole lies `off` its place."""
        items = []
        for k, (x, y) in enumerate(self.holes):
            middle = (at[0] + x + (off if k == 0 else 0.0), at[1] + y)
            r = self.radius - PROCESS.kerf / 2
            lead = Path.polyline([(middle[0] + r - 3.0, middle[1]), (middle[0] + r, middle[1])])
            items.append(cut(Path.circle(middle, r), lead, "hole", 0, 1.0, 0.0))
        rim = rolled(self.w, self.h, PROCESS.kerf / 2, *at)
        x, y = rim.start
        return [*items, cut(rim, Path.polyline([(x - 5.0, y - 4.0), (x, y)]), "outline", 1, 1.0, 2.0)]


LEFT, RIGHT = Plate(100, 60, 8, (20.0, 20.0), (20.0, 40.0)), Plate(100, 60, 8, (80.0, 20.0), (50.0, 40.0))
SMALL, WIDE = Plate(40, 30, 6, (15.0, 15.0)), Plate(140, 90, 10, (70.0, 50.0))
PAIRS = {"other holes": (LEFT, RIGHT), "a small one": (LEFT, SMALL), "small first": (SMALL, LEFT), "wide": (LEFT, WIDE)}
PLACES = [((0.0, 0.0), (0.0, 0.0)), ((100.0, 50.0), (100.5, 50.2)), ((100.0, 50.0), (130.0, 60.0))]
both = pytest.mark.parametrize("placed", [True, False], ids=["heading", "found"])


def program(*sheets: list[Cut], stop: list[str] | None = None) -> str:
    every = tuple(replace(item, feature=k) for k, item in enumerate(c for cuts in sheets for c in cuts))
    written = write(replace(plan(BIG, every), plate=(-2000.0, -2000.0, 2000.0, 2000.0)), DIALECT)
    lines, number = written.text.split("\n"), len(every)
    for cuts in reversed(sheets[1:]):
        number -= len(cuts)
        at = written.blocks[number].first - 1
        lines[at:at] = NEXT if stop is None else stop
    return "\n".join(lines)


def proof_of(text: str, placed: bool, *drawings: tuple[Plate, XY]) -> Proof:
    laid = [plate.drawn(at if placed else (0.0, 0.0)) for plate, at in drawings]
    counts = tuple((len(drawing), 0) for drawing in laid)
    drawn = tuple(contour for drawing in laid for contour in drawing)
    return prove(
        text, Against(control=DIALECT, machine=BIG, process=PROCESS, drawn=drawn, placed=placed, counts=counts)
    )


def errors(proof: Proof) -> list[tuple[str, str]]:
    return [(f.rule, f.message) for f in proof.findings if f.severity == "error"]


@both
@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS)
@pytest.mark.parametrize(("first", "second"), PLACES, ids=["one place", "near", "beside"])
def test_another_drawing_on_each_sheet_is_proven(pair, first, second, placed):
    text = program(pair[0].cuts(first), pair[1].cuts(second))
    proof = proof_of(text, placed, (pair[0], first), (pair[1], second))
    assert errors(proof) == []
    assert len(proof.parts) == 2 and all(part.comes_free and part.holes_cut == part.holes for part in proof.parts)
    assert not [f for f in proof.findings if f.rule in ("surplus-cut", "new-plate-unproven")]
    turned = proof_of(text, placed, (pair[1], second), (pair[0], first))
    assert errors(turned) == [], "in whatever order they are given"


@both
@pytest.mark.parametrize("pair", PAIRS.values(), ids=PAIRS)
@pytest.mark.parametrize("sheet", [1, 2])
@pytest.mark.parametrize("off", [None, 0.3], ids=["missing", "off"])
def test_a_fault_on_either_sheet_is_told_of_that_sheet(pair, sheet, off, placed):
    (first, second) = PLACES[1]
    cuts = [pair[0].cuts(first), pair[1].cuts(second)]
    at = (first, second)[sheet - 1]
    cuts[sheet - 1] = cuts[sheet - 1][1:] if off is None else pair[sheet - 1].cuts(at, off)
    told = errors(proof_of(program(*cuts), placed, (pair[0], first), (pair[1], second)))
    assert {rule for rule, _ in told} == ({"feature-not-cut"} if off is None else {"gouge", "metal-left"})
    assert told and all(message.startswith(f"sheet {sheet}: ") for _, message in told)


@both
def test_a_drawing_that_is_cut_on_no_sheet_is_an_error(placed):
    text = program(LEFT.cuts((0.0, 0.0)), LEFT.cuts((0.0, 0.0)))
    for other in (RIGHT, SMALL):
        told = errors(proof_of(text, placed, (LEFT, (0.0, 0.0)), (other, (0.0, 0.0))))
        assert {rule for rule, _ in told} == {"feature-not-cut"}


@both
def test_a_sheet_on_which_nothing_drawn_is_cut_is_an_error(placed):
    at, far = (0.0, 0.0), SMALL.cuts((500.0, 500.0))
    text = program([*LEFT.cuts(at), *far], far)
    (told,) = errors(proof_of(text, placed, (LEFT, at)))
    assert told == ("surplus-cut", "sheet 2: nothing of what is drawn is cut on it")
    assert errors(proof_of(text, placed, (LEFT, at), (SMALL, (500.0, 500.0)))) == []


@pytest.mark.parametrize("second", [(100.5, 50.2), (100.0, 50.3), (130.0, 60.0)])
def test_the_same_part_near_the_same_place_on_the_second_sheet_is_found_there(second):
    first = (100.0, 50.0)
    proof = proof_of(program(LEFT.cuts(first), LEFT.cuts(second)), False, (LEFT, first))
    assert errors(proof) == []
    assert {tuple(p.shift.round(3).tolist()) for p in proof.places} == {first, second}
    told = errors(proof_of(program(LEFT.cuts(first), LEFT.cuts(second)[1:]), False, (LEFT, first)))
    assert [(rule, message[:8]) for rule, message in told] == [("feature-not-cut", "sheet 2:")]


def test_near_the_place_that_a_heading_names_is_told_as_shifted_on_its_sheet():
    told = errors(proof_of(program(LEFT.cuts((0.0, 0.0)), LEFT.cuts((0.5, 0.2))), True, (LEFT, (0.0, 0.0))))
    assert told == [("shifted", "sheet 2: the whole cut is shifted by 0.500, 0.200 mm")]


@both
@pytest.mark.parametrize("stop", [["(MSG, next sheet)"], ["M1"], ["(MSG, next sheet)", "M1"]])
def test_without_a_stop_for_another_sheet_there_is_none(stop, placed):
    first, second = PLACES[0]
    text = program(LEFT.cuts(first), SMALL.cuts(second), stop=stop)
    assert errors(proof_of(text, placed, (LEFT, first), (SMALL, second)))


@both
@pytest.mark.parametrize("stop", [["M0"], ["(look)", "M0"], ["(do not change the sheet)", "M0"]])
def test_parts_that_can_not_share_a_sheet_bear_out_another_whatever_a_stop_says(stop, placed):
    first, second = PLACES[0]
    proof = proof_of(program(LEFT.cuts(first), SMALL.cuts(second), stop=stop), placed, (LEFT, first), (SMALL, second))
    assert errors(proof) == [] and "new-sheet-assumed" in {f.rule for f in proof.findings}


@both
def test_parts_that_could_lie_on_one_sheet_bear_out_no_other(placed):
    # The holes of a part are cut, then a comment asks for another sheet, then its outline.
    holes, rim = LEFT.cuts((0.0, 0.0))[:-1], LEFT.cuts((0.0, 0.0))[-1:]
    told = errors(proof_of(program([*holes, *SMALL.cuts((300.0, 0.0))], rim), placed,
                           (LEFT, (0.0, 0.0)), (SMALL, (300.0, 0.0))))  # fmt: skip
    assert "new-plate-unproven" in {rule for rule, _ in told}
