"""Joining: soup becomes contours, doubles go, gaps close only within the tolerance, nothing is invented."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.drawing.drawing import Entity
from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from support.referees.strategies import drawing_of, soup, star_loop


def rules_of(contours):
    return [f.rule for f in contours.findings]


def farthest(a: Path, b: Path) -> float:
    """Return the largest distance of chord points of one loop from the chords of the other, by plain numpy."""
    points, chords = a.flattened(1e-5), b.flattened(1e-5)
    start, end = chords, np.roll(chords, -1, axis=0)
    along = end - start
    worst = 0.0
    for p in points[:: max(1, len(points) // 200)]:
        share = np.clip(((p - start) * along).sum(axis=1) / (along * along).sum(axis=1), 0, 1)
        worst = max(worst, float(np.hypot(*(start + along * share[:, None] - p).T).min()))
    return worst


@given(st.integers(0, 100_000))
def test_a_loop_drawn_as_shuffled_soup_comes_back(seed):
    loop = star_loop(seed)
    got = join_contours(drawing_of(*soup(loop, np.random.default_rng(seed))))
    assert len(got.closed) == 1 and not got.open
    assert abs(got.closed[0].path.area()) == pytest.approx(loop.area(), abs=1e-3)
    assert farthest(loop, got.closed[0].path) < 1e-3


@given(st.integers(0, 100_000))
def test_a_loop_drawn_twice_in_different_ways_is_cut_once(seed):
    rng = np.random.default_rng(seed)
    loop = star_loop(seed)
    got = join_contours(drawing_of(loop, *soup(loop, rng), *soup(loop.reversed(), rng)))
    assert len(got.closed) == 1 and not got.open
    assert farthest(loop, got.closed[0].path) < 1e-3
    assert any(m.what == "duplicate removed" for m in got.mends)


@given(st.integers(0, 100_000))
def test_gaps_up_to_the_tolerance_close_and_larger_ones_do_not(seed):
    rng = np.random.default_rng(seed)
    loop = star_loop(seed, arcs=False)
    pieces = soup(loop, rng)
    s = [Path.polyline([p.start + (p.end - p.start) / p.length() * 0.01, p.end]) for p in pieces]
    got = join_contours(drawing_of(*s))
    assert len(got.closed) == 1
    assert farthest(loop, got.closed[0].path) < 1e-3, "trimmed straight ends meet where their lines cross"
    wide = [Path.polyline([p.start + (p.end - p.start) / p.length() * 0.2, p.end]) for p in pieces]
    got = join_contours(drawing_of(*wide))
    assert not got.closed
    assert Severity.ERROR in [f.severity for f in got.findings if f.rule == "open-chain"]
    assert len(join_contours(drawing_of(*wide), JoinSettings(tolerance=0.45)).closed) == 1


def test_a_line_overlapping_part_of_an_outline_is_dropped():
    got = join_contours(drawing_of(Path.rectangle(0, 0, 100, 60), Path.polyline([(20, 0), (50, 0)])))
    assert len(got.closed) == 1 and not got.open
    assert got.closed[0].path.area() == pytest.approx(6000) or got.closed[0].path.area() == pytest.approx(-6000)
    assert any(m.what in ("duplicate removed", "overlap removed") for m in got.mends)


def test_an_arc_on_a_circle_is_dropped_and_the_circle_stays_round():
    got = join_contours(drawing_of(Path.circle((0, 0), 10), Path.arc((0, 0), 10, 0.3, 1.0)))
    assert len(got.closed) == 1 and not got.open
    assert abs(got.closed[0].path.area()) == pytest.approx(math.pi * 100)
    assert got.closed[0].path.n_segments == 2


def test_a_circle_drawn_twice_with_other_ends_is_one_circle():
    turned = Path([(0, 10, 1), (0, -10, 1)], True)
    got = join_contours(drawing_of(Path.circle((0, 0), 10), turned))
    assert len(got.closed) == 1 and not got.open
    assert abs(got.closed[0].path.area()) == pytest.approx(math.pi * 100)


def test_parts_that_share_an_edge_are_refused_with_coordinates():
    shared = [
        Path.polyline([(0, 0), (10, 0)]),
        Path.polyline([(10, 0), (10, 10)]),
        Path.polyline([(10, 10), (0, 10)]),
        Path.polyline([(0, 10), (0, 0)]),
        Path.polyline([(10, 0), (20, 0)]),
        Path.polyline([(20, 0), (20, 10)]),
        Path.polyline([(20, 10), (10, 10)]),
    ]
    got = join_contours(drawing_of(*shared))
    branch = [f for f in got.findings if f.rule == "branch-point"]
    assert {(f.x, f.y) for f in branch} == {(10, 0), (10, 10)}
    assert all(f.severity is Severity.ERROR for f in branch)
    assert not got.closed


def test_closed_chains_that_lie_close_are_never_joined():
    a, b = Path.rectangle(0, 0, 10, 10), Path.rectangle(10.02, 0, 20, 10)
    got = join_contours(drawing_of(a, b))
    assert len(got.closed) == 2 and not got.mends


def test_a_contour_that_crosses_itself_is_refused_with_the_place():
    bow = Path.polyline([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True)
    got = join_contours(drawing_of(bow))
    crossing = [f for f in got.findings if f.rule == "self-crossing"]
    assert len(crossing) == 1 and (crossing[0].x, crossing[0].y) == pytest.approx((5, 5))
    assert not got.closed


def test_two_contours_that_cross_are_both_refused():
    got = join_contours(drawing_of(Path.rectangle(0, 0, 10, 10), Path.rectangle(5, 5, 15, 15), Path.circle((50, 0), 5)))
    assert "contours-cross" in rules_of(got)
    assert len(got.closed) == 1


def test_a_contour_drawn_twice_a_little_off_is_called_so_and_a_disc_in_a_square_is_not():
    doubled = join_contours(drawing_of(Path.rectangle(0, 0, 100, 60), Path.rectangle(0.02, 0.01, 100.02, 60.01)))
    (told,) = [f for f in doubled.findings if f.rule == "contours-cross"]
    assert "drawn twice" in told.message and told.advice == "delete one of the two"
    square = join_contours(drawing_of(Path.rectangle(0, 0, 60, 60), Path.circle((30, 30), 30.01)))
    assert "drawn twice" not in next(f.message for f in square.findings if f.rule == "contours-cross")


def test_a_bend_line_is_ignored_by_its_layer_and_an_open_line_elsewhere_is_a_warning():
    bend = Entity("LINE", Path.polyline([(0, 30), (100, 30)]), "BEND_EXTENT", handle="B")
    loose = Entity("LINE", Path.polyline([(0, 20), (100, 20)]), "0", handle="L")
    got = join_contours(drawing_of(Path.rectangle(0, 0, 100, 60), bend, loose))
    assert len(got.closed) == 1
    told = [f for f in got.findings if f.rule == "open-chain"]
    assert [f.severity for f in told] == [Severity.WARNING]
    assert told[0].handle == "L"


def test_an_open_outline_round_holes_is_an_error_because_holes_would_become_parts():
    outline = Path.polyline([(0, 0), (100, 0), (100, 60), (0, 60)])
    got = join_contours(drawing_of(outline, Path.circle((50, 30), 10)))
    assert [f.severity for f in got.findings if f.rule == "open-chain"] == [Severity.ERROR]


def test_short_bits_go_without_opening_the_contour():
    bits = Path.polyline([(0, 0), (50, 0), (50.003, 0.001), (100, 0), (100, 60), (0, 60)], closed=True)
    got = join_contours(drawing_of(bits))
    assert len(got.closed) == 1
    assert abs(got.closed[0].path.area()) == pytest.approx(6000, abs=0.5)
    assert got.closed[0].path.segments().lengths().min() > 1


def test_a_circle_of_chords_becomes_a_circle_and_keeps_the_drawn_points_for_the_proof():
    angles = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    ring = Path.polyline(np.column_stack([10 * np.cos(angles), 10 * np.sin(angles)]), closed=True)
    got = join_contours(drawing_of(ring))
    contour = got.closed[0]
    assert contour.path.segments().is_arc.all() and contour.path.n_segments <= 4
    assert contour.samples is not None and len(contour.samples) >= 400
    assert contour.fit_error <= 0.005


def test_marks_and_slits_keep_their_roles_and_never_join_cuts():
    rules = (("SLOTS", Role.SLIT),)
    slit = Entity("LINE", Path.polyline([(10, 10), (30, 10)]), "slots", handle="S")
    mark = Entity("CIRCLE", Path.circle((50, 30), 2), "Engrave", handle="M")
    got = join_contours(drawing_of(Path.rectangle(0, 0, 100, 60), slit, mark), JoinSettings(rules=rules))
    assert [c.role for c in got.open] == [Role.SLIT]
    assert sorted(c.role for c in got.closed) == [Role.CUT, Role.MARK]


def test_a_tiny_line_between_two_gaps_closes_the_contour_and_not_itself():
    wall = [Path.polyline(p) for p in ([(0, 0), (100, 0)], [(100, 0), (100, 60)], [(100, 60), (0, 60)])]
    last = [Path.polyline([(0, 60), (0, 0.1)]), Path.polyline([(0, 0.06), (0, 0.04)])]
    got = join_contours(drawing_of(*wall, *last))
    assert len(got.closed) == 1 and not got.open
    assert abs(got.closed[0].path.area()) == pytest.approx(6000, abs=0.01)


def test_bits_shorter_than_the_tolerance_go_and_are_listed_wherever_they_are():
    square = Path.rectangle(0, 0, 50, 50)
    bits = [Path.polyline([(50, 50), (50.03, 50.01)]), Path.polyline([(80, 80), (80.004, 80)])]
    sides = soup(square, np.random.default_rng(1))
    got = join_contours(drawing_of(*sides, *bits))
    assert len(got.closed) == 1 and not got.open and "open-chain" not in rules_of(got)
    assert sorted(round(m.size, 3) for m in got.mends if m.what == "bit dropped") == [0.004, 0.032]


def test_each_mend_says_what_where_how_much_and_of_which_entities():
    pieces = [
        Path.polyline(p) for p in ([(0, 0), (10, 0)], [(10, 0.02), (10, 10)], [(10, 10), (0, 10)], [(0, 10), (0, 0)])
    ]
    got = join_contours(drawing_of(*pieces, Path.polyline([(2, 10), (8, 10)])))
    mends = {m.what: m for m in got.mends}
    assert set(mends) == {"loop closed", "duplicate removed"}
    closed, double = mends["loop closed"], mends["duplicate removed"]
    assert (closed.x, closed.y, closed.size) == pytest.approx((10, 0.01, 0.02)) and set(closed.handles) == {"1", "2"}
    assert (double.x, double.y, double.size) == pytest.approx((5, 10, 6)) and double.handles == ("5",)
    assert {f.rule for f in got.findings} == {"loop-closed", "duplicate-removed"}


def test_a_loop_with_an_edge_of_another_contour_is_an_error_and_a_line_within_it_a_warning():
    plate = Path.rectangle(0, 0, 100, 60)
    outside = Path.polyline([(20, 60), (20, 80), (40, 80), (40, 60)])
    within = Path.polyline([(60, 0), (60, 60)])
    got = join_contours(drawing_of(plate, outside, within))
    told = {f.handle: f for f in got.findings if f.rule == "open-chain"}
    assert told["2"].severity is Severity.ERROR and "both on other lines" in told["2"].message
    assert told["3"].severity is Severity.WARNING
    assert len(got.closed) == 1


@pytest.mark.parametrize("gap", [0.051, 0.0999, 0.123, 0.5004, 1.9])
def test_the_tolerance_that_is_named_is_enough(gap):
    sides = [
        Path.polyline(p) for p in ([(0, 0), (100, 0)], [(100, 0), (100, 60)], [(100, 60), (0, 60)], [(0, 60), (0, gap)])
    ]
    (told,) = [f for f in join_contours(drawing_of(*sides)).findings if f.rule == "open-chain"]
    named = float(told.advice.split("--join ")[1].removesuffix("mm"))
    assert gap < named < gap * 1.2
    assert len(join_contours(drawing_of(*sides), JoinSettings(tolerance=named)).closed) == 1
