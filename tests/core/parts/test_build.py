"""Depth, kinds and parts."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.drawing.drawing import Entity
from kerfproof.geom.path import Bundle, Path
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from kerfproof.parts.model.part import FeatureKind
from kerfproof.parts.model.round_hole import diameters_of
from support.referees.strategies import drawing_of


def parts_of(*paths, rules=()):
    contours = join_contours(drawing_of(*paths), JoinSettings(rules=rules))
    return build_parts(contours.closed, contours.open, "plate")


def test_a_plate_with_a_hole_is_one_part():
    parts = parts_of(Path.rectangle(0, 0, 100, 60), Path.circle((50, 30), 10))
    (part,) = parts.parts
    assert part.name == "plate"
    assert part.outline.label == "outline 100 x 60"
    assert [h.label for h in part.holes] == ["hole 1 D20"]
    assert part.holes[0].diameter == 20


def test_an_island_in_a_hole_is_a_part_of_its_own_that_knows_its_hole():
    rings = [Path.circle((0, 0), r) for r in (50, 40, 30, 20, 10)]
    parts = parts_of(*rings)
    assert len(parts.parts) == 3
    depths = {round(f.contour.path.bounds()[2]): f.depth for f in parts.features}
    assert depths == {50: 0, 40: 1, 30: 2, 20: 3, 10: 4}
    outer, middle, inner = sorted(parts.parts, key=lambda p: -p.outline.contour.path.bounds()[2])
    assert outer.inside is None
    assert middle.inside == outer.holes[0].number
    assert inner.inside == middle.holes[0].number


def test_drawn_direction_says_nothing_about_inside():
    parts = parts_of(Path.rectangle(0, 0, 100, 60).reversed(), Path.circle((50, 30), 10))
    assert {f.kind for f in parts.features} == {FeatureKind.OUTLINE, FeatureKind.HOLE}
    assert parts.parts[0].outline.contour.path.n_segments == 4


def test_a_stadium_is_not_round_and_a_circle_of_four_arcs_is():
    stadium = Path([(-20, -10, 0), (20, -10, 1), (20, 10, 0), (-20, 10, 1)], True)
    assert diameters_of(Bundle.of([stadium]))[0] is None
    quarter = np.tan(np.pi / 8)
    four = Path([(5, 0, quarter), (0, 5, quarter), (-5, 0, quarter), (0, -5, quarter)], True)
    assert diameters_of(Bundle.of([four]))[0] == pytest.approx(10, abs=1e-9)
    lens = Path([(-5, 0, 0.5), (5, 0, 0.5)], True)
    assert diameters_of(Bundle.of([lens]))[0] is None


def test_a_slit_belongs_to_the_part_it_lies_on_and_outside_it_is_told():
    on = Entity("LINE", Path.polyline([(10, 10), (30, 10)]), "S", handle="A")
    off = Entity("LINE", Path.polyline([(210, 10), (230, 10)]), "S", handle="B")
    parts = parts_of(Path.rectangle(0, 0, 100, 60), on, off, rules=(("S", Role.SLIT),))
    assert [s.label for s in parts.parts[0].slits] == ["slit 1 20 mm long"]
    assert [(f.rule, f.message) for f in parts.findings] == [
        ("slit-outside-parts", "a slit lies on no part and is left out")
    ]


def test_a_slit_that_runs_out_of_a_hole_is_left_out_and_said_to_run_across_its_edge():
    out = Entity("LINE", Path.polyline([(50, 30), (90, 30)]), "S", handle="A")
    wide = (Path.rectangle(0, 0, 120, 60), Path.rectangle(10, 10, 80, 50))
    (told,) = parts_of(*wide, out, rules=(("S", Role.SLIT),)).findings
    assert told.message == "a slit runs from the open across the edge of a part and is left out"
    back = Entity("LINE", Path.polyline([(115, 30), (50, 30)]), "S", handle="A")
    parts = parts_of(*wide, back, rules=(("S", Role.SLIT),))
    assert [f.rule for f in parts.findings] == ["slit-meets-hole"] and len(parts.parts[0].slits) == 1


def test_moving_parts_moves_their_samples_too():
    angles = np.linspace(0, 2 * np.pi, 300, endpoint=False)
    ring = Path.polyline(np.column_stack([10 * np.cos(angles), 10 * np.sin(angles)]), closed=True)
    parts = parts_of(ring).moved(100, 200)
    contour = parts.parts[0].outline.contour
    radius = np.hypot(*(contour.samples - [100, 200]).T)
    assert abs(radius - 10).max() < 1e-9
    assert abs(np.hypot(*(contour.path.vertices[:, :2] - [100, 200]).T) - 10).max() < 0.006


def test_outlines_drawn_as_the_two_edges_of_a_pen_stroke_are_told():
    twins = [Path.rectangle(0, 0, 100, 60), Path.rectangle(0.2, 0.2, 99.8, 59.8), Path.circle((200, 0), 10)]
    (told,) = parts_of(*twins, Path.circle((200, 0), 9.8)).findings
    assert told.rule == "outline-is-band" and "2 outlines are bands only 0.20 mm wide" in told.message
    assert not parts_of(Path.rectangle(0, 0, 100, 60), Path.rectangle(2, 2, 98, 58)).findings


def test_a_part_that_fills_its_hole_but_for_a_hair_is_a_contour_drawn_twice():
    plate, hole = Path.rectangle(0, 0, 100, 60), Path.circle((50, 30), 8)
    (told,) = parts_of(plate, hole, Path.circle((50, 30), 7.98)).findings
    assert told.rule == "drawn-twice" and "0.02 mm" in told.message
    assert not parts_of(plate, hole, Path.circle((50, 30), 6)).findings
    letter = Path.circle((20, 20), 0.3), Path.circle((20, 20), 0.15)
    assert not parts_of(plate, *letter).findings, "a gap that is a good share of its hole is meant"
