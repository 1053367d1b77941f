from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.geom.path import Path
from kerfproof.geom.refit import refit, refit_all
from support.drawings.curves import curve, sampled
from support.drawings.path_shapes import same_shape

TOLERANCE = 0.005


def _ring(count: int, radius: float, noise: float = 0.0, seed: int = 1) -> np.ndarray:
    angle = np.arange(count) / count * 2 * np.pi
    jitter = np.random.default_rng(seed).uniform(-noise, noise, (count, 2))
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius + jitter


@pytest.mark.parametrize("seed", range(5))
def test_two_thousand_noisy_chords_are_a_circle(seed: int) -> None:
    path, error = refit(Path.polyline(_ring(2_000, 10, 0.001, seed), closed=True), TOLERANCE)
    assert len(path.vertices) == 2
    assert path.area() == pytest.approx(100 * np.pi, rel=1e-3)
    assert 0 < error <= TOLERANCE


def test_a_circle_keeps_the_way_it_was_drawn() -> None:
    path, _ = refit(Path.polyline(_ring(100, 5)[::-1], closed=True), TOLERANCE)
    assert path.area() == pytest.approx(-25 * np.pi, rel=1e-3)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12])
@pytest.mark.parametrize("radius", [0.5, 3.0, 10.0])
def test_a_drawn_polygon_stays_a_polygon(sides: int, radius: float) -> None:
    drawn = Path.polyline(_ring(sides, radius), closed=True)
    path, error = refit(drawn, TOLERANCE)
    assert path is drawn
    assert error == 0


def test_a_coarser_ring_is_a_circle_only_by_leave() -> None:
    drawn = Path.polyline(_ring(36, 10), closed=True)  # its chords lie up to 38 um inside the circle
    assert refit(drawn, TOLERANCE)[0] is drawn
    path, error = refit(drawn, TOLERANCE, bow=0.05)
    assert len(path.vertices) == 2
    assert error == pytest.approx(10 * (1 - np.cos(np.pi / 36)))


@pytest.mark.parametrize("shift", [0, 37, 120])
def test_a_stadium_of_chords_is_two_lines_and_two_arcs_wherever_it_begins(shift: int) -> None:
    angle = np.linspace(-np.pi / 2, np.pi / 2, 101)
    end = np.column_stack([np.cos(angle) * 10 + 20, np.sin(angle) * 10])
    points = np.roll(np.vstack([end, -end]), shift, axis=0)
    path, error = refit(Path.polyline(points, closed=True), TOLERANCE)
    assert path.n_segments == 4
    assert path.area() == pytest.approx(800 + 100 * np.pi, abs=143 * TOLERANCE)
    assert error <= 4 * TOLERANCE


def test_sharp_corners_stay_to_the_last_bit() -> None:
    sides = [
        np.linspace(a, b, 8, endpoint=False)
        for a, b in [((0, 0), (30, 0)), ((30, 0), (30, 20)), ((30, 20), (7, 13)), ((7, 13), (0, 0))]
    ]
    path, error = refit(Path.polyline(np.vstack(sides), closed=True), TOLERANCE)
    assert sorted(map(tuple, path.vertices[:, :2])) == [(0, 0), (7, 13), (30, 0), (30, 20)]
    assert error < 1e-9


def test_arcs_of_one_circle_are_joined_up_to_a_half_circle() -> None:
    pieces = Path.arc((3, 4), 6, 0.2, 2.4)
    parts = [Path.arc((3, 4), 6, 0.2 + 0.6 * k, 0.6).vertices[:-1] for k in range(4)]
    chopped = Path(np.vstack([*parts, pieces.vertices[-1:]]), False)
    path, _ = refit(chopped, TOLERANCE)
    assert same_shape(path, pieces, 1e-9)


def test_two_half_circles_and_plain_shapes_come_back_untouched() -> None:
    shapes = [
        Path.circle((0, 0), 5),
        Path.rectangle(0, 0, 10, 20),
        Path.arc((0, 0), 5, 0, 4),
        Path.polyline([(0, 0), (5, 1)]),
    ]
    for shape, (path, error) in zip(shapes, refit_all(shapes, TOLERANCE), strict=True):
        assert path is shape
        assert error == 0


def test_a_bit_shorter_than_the_tolerance_goes_without_opening_the_contour() -> None:
    drawn = Path.polyline([(0, 0), (10, 0), (10.002, 0.001), (10, 10), (0, 10)], closed=True)
    path, _ = refit(drawn, TOLERANCE)
    assert path.closed
    assert path.n_segments == 4


def test_out_and_back_on_one_line_is_not_merged_away() -> None:
    spike = Path.polyline([(0, 0), (10, 0), (10, 5), (10, 9), (10, 5), (10, 10), (0, 10)], closed=True)
    path, _ = refit(spike, TOLERANCE)
    assert (10, 9) in set(map(tuple, path.vertices[:, :2]))


@given(st.integers(0, 10_000))
def test_chords_of_any_contour_are_refitted_within_the_bow(seed: int) -> None:
    drawn = curve(seed)
    if drawn is None:
        return
    chords = sampled(drawn, 0.004)
    path, error = refit(Path.polyline(chords, closed=True), TOLERANCE)
    assert path.closed
    assert path.n_segments <= len(chords)
    ring = shapely.LinearRing(chords)
    middles = sampled(path, 1e-4)
    away = shapely.distance(shapely.points(middles), ring)
    assert away.max() <= max(error, TOLERANCE) + 1e-3
    assert shapely.hausdorff_distance(ring, shapely.LinearRing(middles)) <= 4 * TOLERANCE + 1e-3


@given(st.integers(0, 10_000))
def test_the_quick_sieve_drops_nothing_that_refit_would_change(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shapes = [Path.polyline(_ring(int(rng.integers(3, 60)), float(rng.uniform(0.3, 8))), closed=True) for _ in range(4)]
    shapes += [c for k in range(3) if (c := curve(seed * 3 + k)) is not None]
    for (quick, _), shape in zip(refit_all(shapes, TOLERANCE), shapes, strict=True):
        assert same_shape(quick, refit(shape, TOLERANCE)[0])
