"""Paths and their segments, against closed forms."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.geom.path import Bundle, Path, Segments
from support.drawings.path_shapes import same_shape, started_at

# Bulge vectors: chord p1 -> p2, bulge, then radius, centre, sweep in degrees, length, area of the segment.
# Closed forms: R = c (1 + b^2) / (4 |b|), sweep = 4 atan b (bulge as the public DXF reference defines it).
BULGES = [
    ((1, 0), (0, 1), math.tan(math.pi / 8), 1, (0, 0), 90, 1.570796, 0.285398),
    ((0, 0), (10, 0), 1, 5, (5, 0), 180, 15.707963, 39.269908),
    ((0, 0), (10, 0), -1, 5, (5, 0), -180, 15.707963, -39.269908),
    ((0, 0), (10, 0), 0.5, 6.25, (5, 3.75), 106.260205, 11.591190, 17.472469),
    ((0, 0), (10, 0), math.tan(math.radians(7.5)), 19.318517, (5, 18.660254), 30, 10.115152, 4.403591),
]


@pytest.mark.parametrize(("p1", "p2", "bulge", "radius", "center", "sweep", "length", "area"), BULGES)
def test_a_bulge_gives_radius_centre_sweep_length_and_area(p1, p2, bulge, radius, center, sweep, length, area):
    path = Path([(*p1, bulge), (*p2, 0)], False)
    s = path.segments()
    assert s.radius[0] == pytest.approx(radius, abs=1e-6)
    assert s.center[0] == pytest.approx(center, abs=1e-6)
    assert math.degrees(s.sweep[0]) == pytest.approx(sweep, abs=1e-6)
    assert path.length() == pytest.approx(length, abs=1e-6)
    closed = Path([(*p1, bulge), (*p2, 0)], True)
    assert closed.area() == pytest.approx(area, abs=1e-6)


def test_a_positive_bulge_bows_to_the_right_of_travel():
    middle = Path([(0, 0, 1), (10, 0, 0)], False).segments().points(np.array([0]), np.array([0.5]))[0]
    assert middle == pytest.approx((5, -5))


def test_a_circle_has_the_area_and_box_of_a_circle():
    circle = Path.circle((3, 4), 25)
    assert circle.area() == pytest.approx(math.pi * 625)
    assert circle.bounds() == pytest.approx((-22, -21, 28, 29))
    assert circle.n_segments == 2


def test_a_stadium_has_the_published_area_and_length():
    # Straight 40, radius 10: area 4 * 10 * 20 + pi 100, length 80 + 20 pi.
    stadium = Path([(-20, -10, 0), (20, -10, 1), (20, 10, 0), (-20, 10, 1)], True)
    assert stadium.area() == pytest.approx(1114.159265, abs=1e-6)
    assert stadium.length() == pytest.approx(142.831853, abs=1e-6)


@pytest.mark.parametrize(
    "vertices",
    [
        [(0, 0, 0)],
        [(0, 0, 0), (0, 0, 0)],
        [(0, 0, 1.5), (1, 0, 0)],
        [(0, 0, 0), (math.nan, 0, 0)],
        [(0, 0), (1, 0)],
    ],
)
def test_a_path_that_can_not_be_is_refused(vertices):
    with pytest.raises(ValueError):
        Path(vertices, False)


def test_vertices_can_not_be_written_even_after_pickling():
    path = pickle.loads(pickle.dumps(Path.rectangle(0, 0, 1, 1)))
    with pytest.raises(ValueError):
        path.vertices[0, 0] = 9


def random_loop(seed: int) -> Path:
    """Return a star-shaped loop of lines and arcs round the origin."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(3, 12))
    angles = (np.arange(n) + rng.uniform(0.1, 0.9, n)) * 2 * np.pi / n
    radii = rng.uniform(20, 40, n)
    bulges = np.where(rng.random(n) < 0.5, 0.0, rng.uniform(-0.3, 0.3, n))
    return Path(np.column_stack([radii * np.cos(angles), radii * np.sin(angles), bulges]), True)


@given(st.integers(0, 10_000))
def test_turning_a_loop_round_flips_the_sign_of_its_area_only(seed):
    loop = random_loop(seed)
    back = loop.reversed()
    assert back.area() == pytest.approx(-loop.area())
    assert back.length() == pytest.approx(loop.length())
    assert same_shape(back.reversed(), loop)


@given(st.integers(0, 10_000), st.floats(0, 1))
def test_a_loop_begun_elsewhere_is_the_same_curve(seed, share):
    loop = random_loop(seed)
    other = started_at(loop, seed % loop.n_segments, share)
    assert other.area() == pytest.approx(loop.area())
    assert other.length() == pytest.approx(loop.length())


@given(st.integers(0, 10_000), st.floats(0, 0.99), st.floats(0.01, 1))
def test_a_piece_of_a_loop_has_the_length_asked_for_and_goes_on_round(seed, start, share):
    loop = random_loop(seed)
    total = loop.length()
    piece = loop.part(start * total, start * total + share * total)
    assert piece.length() == pytest.approx(share * total, abs=1e-6)


@given(st.integers(0, 10_000))
def test_chords_stay_within_the_sagitta(seed):
    loop = random_loop(seed)
    points = loop.flattened(0.01)
    x, y = points.T
    area = 0.5 * float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
    assert abs(area - loop.area()) <= 0.01 * loop.length()


def test_a_mirror_flips_bulges_and_uneven_scale_of_arcs_is_refused():
    arc = Path([(0, 0, 0.5), (10, 0, 0)], False)
    assert arc.transformed([[-1, 0], [0, 1]]).vertices[0, 2] == -0.5
    with pytest.raises(ValueError, match="ellipses"):
        arc.transformed([[2, 0], [0, 1]])


def test_boxes_hold_the_bows_of_arcs():
    rng = np.random.default_rng(5)
    p0, p1 = rng.uniform(-10, 10, (500, 2)), rng.uniform(-10, 10, (500, 2))
    s = Segments.between(p0, p1, rng.uniform(-1, 1, 500))
    boxes = s.boxes()
    for share in np.linspace(0, 1, 101):
        points = s.points(np.arange(500), np.full(500, share))
        assert (points >= boxes[:, :2] - 1e-9).all() and (points <= boxes[:, 2:] + 1e-9).all()


def test_a_bundle_gives_each_path_back_and_an_open_path_has_one_segment_less():
    paths = [Path.circle((0, 0), 5), Path.polyline([(0, 0), (1, 0), (1, 1)]), Path.rectangle(0, 0, 2, 3)]
    bundle = Bundle.of(paths)
    assert all(same_shape(a, b) for a, b in zip(paths, bundle, strict=True))
    assert np.bincount(bundle.segments().owner).tolist() == [2, 2, 4]
