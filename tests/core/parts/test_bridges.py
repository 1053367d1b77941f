"""Middles of stencils and the bridges that hold them; areas and distances by shapely."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from shapely import Point, Polygon
from shapely.ops import unary_union

from kerfproof import api
from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.parts.bridges import bridge_width, bridged, middles
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.join_contours import join_contours
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.prove_program import ProgramAtHand
from kerfproof.programs.proven_program import ProvenProgram
from support.referees.plain_program import burned, kerf_of
from support.referees.strategies import drawing_of
from support.shop.shop import built_in, chart, cut, dxf

PLATE = Path.rectangle(-100, -100, 200, 240)
LETTERS = {
    "O": [Path.circle((50, 70), 60), Path.circle((50, 70), 35)],
    "O off center": [Path.circle((50, 70), 60), Path.circle((54, 68), 35)],
    "D": [Path([(0, 0, 0), (40, 0, 1), (40, 140, 0), (0, 140, 0)], True),
          Path([(20, 25, 0), (40, 25, 1), (40, 115, 0), (20, 115, 0)], True)],
    "A": [Path.polyline([(0, 0), (100, 0), (60, 140), (40, 140)], closed=True),
          Path.polyline([(35, 25), (65, 25), (50, 80)], closed=True)],
    "B": [Path.rectangle(0, 0, 100, 140), Path.rectangle(20, 20, 80, 60), Path.rectangle(25, 80, 75, 120)],
    "diamond": [Path.polyline([(50, 0), (110, 70), (50, 140), (-10, 70)], closed=True),
                Path.polyline([(50, 40), (75, 70), (50, 100), (25, 70)], closed=True)],
}  # fmt: skip


def polygon(path: Path) -> Polygon:
    return Polygon(path.flattened(1e-4))


@pytest.mark.parametrize("name", LETTERS)
@pytest.mark.parametrize("width", [3.0, 6.0, 12.0])
def test_holes_beside_a_band_are_the_gap_without_two_straight_bridges_a_middle(name: str, width: float) -> None:
    contours = join_contours(drawing_of(PLATE, *LETTERS[name]))
    parts = build_parts(contours.closed, contours.open, "p")
    made = bridged(contours.closed, parts, width)
    assert made.held == len(LETTERS[name]) - 1
    holes = [polygon(c.path) for c in made.closed if c.path.bounds() != PLATE.bounds()]
    gap = polygon(LETTERS[name][0]).difference(unary_union([polygon(p) for p in LETTERS[name][1:]]))
    both = unary_union(holes)
    assert both.difference(gap).area < 0.05 and not middles(build_parts(made.closed, (), "p"))
    bridges = gap.difference(both).buffer(-0.01)
    pieces = list(bridges.geoms)
    assert len(pieces) == 1 + made.held  # one band through all: a piece more than there are middles
    assert min(a.distance(b) for k, a in enumerate(holes) for b in holes[:k]) == pytest.approx(width, abs=0.01)


def stencil(space) -> None:
    space.add_lwpolyline([(0, 0), (200, 0), (200, 200), (0, 200)], close=True)
    space.add_circle((100, 100), 60)
    space.add_circle((100, 100), 35)


def rules(outcome) -> dict[str, Severity]:
    return {f.rule: f.severity for f in outcome.findings}


def test_a_middle_that_falls_out_is_a_warning_and_bridges_hold_it() -> None:
    loose, held = cut(dxf(stencil)), cut(dxf(stencil), bridges=True)
    assert loose.ok and rules(loose)["stencil-middle"] is Severity.WARNING and len(loose.parts.parts) == 2
    assert held.ok and "stencil-middle" not in rules(held) and rules(held)["bridges"] is Severity.NOTE
    assert len(held.parts.parts) == 1
    kerf = kerf_of(burned(held.program.text), held.process.kerf)
    x, y = held.shift
    left = Polygon([(x, y), (x + 200, y), (x + 200, y + 200), (x, y + 200)]).difference(kerf)
    piece = next(p for p in getattr(left, "geoms", [left]) if p.contains(Point(x + 100, y + 100)))
    assert piece.contains(Point(x + 5, y + 5)), "the middle hangs on the plate"
    assert piece.buffer(-bridge_width(3.0) / 2 + 0.05).contains(Point(x + 100, y + 100))


def test_a_part_with_holes_of_its_own_or_one_nested_aside_in_a_window_is_no_middle() -> None:
    def nested(space) -> None:
        stencil(space)
        space.add_circle((100, 100), 10)

    def aside(space) -> None:
        space.add_lwpolyline([(0, 0), (300, 0), (300, 200), (0, 200)], close=True)
        space.add_lwpolyline([(20, 20), (280, 20), (280, 180), (20, 180)], close=True)
        space.add_lwpolyline([(45, 45), (105, 45), (105, 105), (45, 105)], close=True)

    assert "stencil-middle" not in rules(cut(dxf(nested)))
    assert "stencil-middle" not in rules(cut(dxf(aside)))


def proven(text: str, **choices: object) -> ProvenProgram:
    at_hand = DrawingAtHand(name="part.dxf", data=dxf(stencil))
    shop = api.Shop(built_in(), chart())
    chosen = replace(cut(dxf(stencil)).job, drawings=(), **choices)  # type: ignore[arg-type]
    program = ProgramAtHand(
        text=text, name="p.nc", shop=shop, material="mild steel", thickness=3.0, drawings=(at_hand,), choices=chosen
    )
    return api.prove_program(program)


def verdict(text: str, **choices: object) -> str:
    return proven(text, **choices).verdict


def test_the_proof_knows_bridges_of_the_usual_width_from_the_heading_or_the_person_and_no_others() -> None:
    text = cut(dxf(stencil), bridges=True).program.text
    assert "bridges = 6 mm" in text
    alone, asked = proven(text), proven(text, bridges=True)
    assert alone.verdict == "PROVEN WITH WARNINGS" and asked.verdict.startswith("PROVEN")
    assert rules(alone)["bridges"] is Severity.WARNING, "a heading alone says so"
    assert rules(asked)["bridges"] is Severity.NOTE
    silent = "\n".join(line for line in text.splitlines() if "bridges" not in line) + "\n"
    assert verdict(silent) == "NOT PROVEN"
    assert verdict(silent, bridges=True).startswith("PROVEN")
    wider = re.sub("bridges = 6 mm", "bridges = 40 mm", text)
    assert verdict(wider).startswith("PROVEN"), "the plate's thickness says how wide they are, not the heading"
    assert verdict(re.sub("bridges = 6 mm", "bridges = 4 mm", text)) == "NOT PROVEN"
