"""Branching chains: faces where they can be read in one way only, referee: shapely's polygonize."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.parts.join.faces import Branch, face_path, faces_of
from kerfproof.parts.join_contours import join_contours
from support.referees.strategies import drawing_of

Line = Path.polyline


def rules_of(contours):
    return [f.rule for f in contours.findings]


def areas(contours):
    return sorted(round(abs(c.path.area()), 6) for c in contours.closed)


def test_an_edge_drawn_by_both_of_two_parts_parts_them_and_the_shared_edge_is_said():
    left, right = Path.rectangle(0, 0, 10, 20), Path.rectangle(10, 0, 30, 20)
    for drawn in ((left, right), (left.reversed(), right), (*lines(left), *lines(right))):
        got = join_contours(drawing_of(*drawn))
        assert sorted(round(abs(c.path.area())) for c in got.refused) == [200, 400]
        (told,) = [f for f in got.findings if f.rule == "contours-cross"]
        assert "share an edge" in told.message and told.x == pytest.approx(10) and 0 <= told.y <= 20
        assert told.severity is Severity.ERROR


def lines(path: Path) -> list[Path]:
    v = path.vertices[:, :2]
    return [Line([a, b]) for a, b in zip(v, np.roll(v, -1, axis=0), strict=True)]


def test_a_pocket_drawn_over_the_edge_becomes_a_notch_because_metal_and_scrap_change_sides_once():
    plate, pocket = Path.rectangle(0, 0, 100, 60), Path.rectangle(40, 60, 60, 40)
    got = join_contours(drawing_of(plate, pocket))
    assert areas(got) == [100 * 60 - 20 * 20]
    assert not got.open and not got.refused
    assert got.closed[0].path.n_segments == 8


def test_a_step_that_stands_on_an_edge_is_a_part_of_its_own_and_said_to_share_it():
    got = join_contours(drawing_of(Path.rectangle(0, 0, 100, 60), Path.rectangle(40, 60, 60, 80)))
    assert sorted(round(abs(c.path.area())) for c in got.refused) == [400, 6000]


def test_a_line_across_a_part_is_no_edge_of_two_parts_but_refused_with_both_places():
    # Drawn once it may be a bend line as well as an edge that two parts share.
    across = [*lines(Path.rectangle(0, 0, 10, 10)), *lines(Path.rectangle(10, 0, 20, 10))[:3]]
    got = join_contours(drawing_of(*across))
    told = [f for f in got.findings if f.rule == "branch-point"]
    assert {(f.x, f.y) for f in told} == {(10, 0), (10, 10)}
    assert not got.closed and got.refused
    assert {(f.what, f.x, f.y) for f in got.faults} >= {("branch", 10, 0), ("branch", 10, 10)}
    assert "open-chain" not in rules_of(got), "one fault is told once"


def test_an_eight_is_two_loops_that_touch_in_a_place():
    eight = [(0, 0), (10, 8), (10, -8), (0, 0), (-10, 8), (-10, -8)]
    got = join_contours(drawing_of(*(Line([a, b]) for a, b in zip(eight, [*eight[1:], eight[0]], strict=True))))
    assert [round(abs(c.path.area())) for c in got.refused] == [80, 80]
    (told,) = [f for f in got.findings if f.rule == "contours-cross"]
    assert "touch" in told.message and (told.x, told.y) == pytest.approx((0, 0))


def test_a_tail_on_a_contour_is_left_out_and_told_and_the_contour_is_cut():
    got = join_contours(drawing_of(*lines(Path.rectangle(0, 0, 50, 30)), Line([(50, 30), (70, 45)])))
    assert areas(got) == [1500]
    assert len(got.open) == 1
    assert [f.severity for f in got.findings if f.rule == "open-chain"] == [Severity.WARNING]


def test_a_line_that_only_links_two_contours_is_left_out_and_told():
    a, b = lines(Path.rectangle(0, 0, 50, 30)), lines(Path.rectangle(80, 0, 99, 30))
    got = join_contours(drawing_of(*a, *b, Line([(50, 0), (80, 0)])))
    assert areas(got) == [570, 1500]
    assert len(got.open) == 1 and "open-chain" in rules_of(got)


def test_a_part_drawn_twice_of_which_each_edge_branches_is_one_part():
    square = Path.rectangle(0, 0, 40, 40)
    halves = [Line([(0, 0), (15, 0)]), Line([(15, 0), (40, 0)]), *lines(square)[1:]]
    got = join_contours(drawing_of(*lines(square), *halves))
    assert areas(got) == [1600] and not got.open and not got.refused


@given(st.integers(0, 100_000))
def test_rows_of_cells_drawn_one_by_one_become_the_faces_that_polygonize_finds(seed):
    rng = np.random.default_rng(seed)
    xs = np.cumsum(rng.uniform(5, 20, int(rng.integers(3, 7))))
    bottom, top = rng.uniform(0, 3, len(xs)), rng.uniform(10, 25, len(xs))
    cells = [
        Path.polyline(
            [(xs[k], bottom[k]), (xs[k + 1], bottom[k + 1]), (xs[k + 1], top[k + 1]), (xs[k], top[k])], closed=True
        )
        for k in range(len(xs) - 1)
    ]
    pieces = [p if rng.random() < 0.5 else p.reversed() for cell in cells for p in lines(cell)]
    got = join_contours(drawing_of(*(pieces[k] for k in rng.permutation(len(pieces)))))
    edges = shapely.unary_union([shapely.LineString(p.vertices[:, :2]) for p in pieces])
    wanted = sorted(face.area for face in shapely.get_parts(shapely.polygonize([edges])))
    assert sorted(abs(c.path.area()) for c in (*got.closed, *got.refused)) == pytest.approx(wanted, abs=1e-6)


def test_arcs_that_leave_a_point_in_one_direction_are_put_in_order_by_where_they_go():
    # A lens beside a half disc: three curves leave (0, 0) upwards, all nearly tangent.
    inner = Path.arc((6, 0), 6, np.pi, -np.pi)
    outer = Path.arc((9, 0), 9, np.pi, -np.pi)
    left = Path.arc((-6, 0), 6, 0, np.pi)
    branches = [
        Branch(inner, 0, 1), Branch(Line([(12, 0), (0, 0)]), 1, 0),
        Branch(outer.joined(Line([(18, 0), (18, -5), (0, -5), (0, 0)])), 0, 0),
        Branch(left.joined(Line([(-12, 0), (0, 0)])), 0, 0),
    ]  # fmt: skip
    faces = faces_of(branches)
    assert faces.clear
    found = sorted(round(abs(face_path(branches, face).area()), 3) for face in faces.metal)
    half = np.pi * 18
    assert round(half, 3) in found
