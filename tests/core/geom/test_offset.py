"""Offsets against closed forms and shapely's buffer: the whole ladder as callers see it.

Areas and lengths of the tables follow from Steiner's formula (area + length d + pi d^2, length + 2 pi d) and, for
sharp or inward corners of polygons, from area +- length d + d^2 sum of cot(half the corner).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from kerfproof.errors import Cancelled
from kerfproof.geom.offset.offset import Offset, offset_all
from kerfproof.geom.path import Bundle, Path
from support.drawings.curves import curve, curves, polygon, sampled


def offset(path: Path, distance: float, *, sharp: bool = False) -> Offset:
    return offset_all(Bundle.of([path]), np.array([distance]), sharp=sharp)[0]


def measures(result: Offset) -> tuple[float, float]:
    assert result.problem == "" and len(result.paths) == 1
    ring = result.paths[0]
    return ring.area(), ring.length()


def buffered(path: Path, distance: float) -> shapely.Geometry:
    """Return shapely's idea of the same offset, flat to a micrometre."""
    shape = polygon(path)
    outward = (distance > 0) != shape.exterior.is_ccw
    quarters = math.ceil(math.pi / 4 / math.acos(1 - 1e-3 / abs(distance))) + 1
    return shape.buffer(abs(distance) if outward else -abs(distance), quad_segs=quarters)


def rings(shape: shapely.Geometry) -> int:
    return sum(1 + len(part.interiors) for part in shapely.get_parts(shape))


RECTANGLE = Path.rectangle(0, 0, 100, 60)
TRIANGLE = Path.polyline([(0, 0), (100, 0), (50, 50 * math.sqrt(3))], closed=True)
STADIUM = Path([(0, 0, 0), (40, 0, 1), (40, 20, 0), (0, 20, 1)], True)


@pytest.mark.parametrize(
    ("path", "distance", "sharp", "area", "length", "segments"),
    [
        (RECTANGLE, -0.75, False, 6241.767146, 324.712389, 8),
        (RECTANGLE, -0.75, True, 6242.25, 326.0, 4),
        (RECTANGLE, 0.75, False, 5762.25, 314.0, 4),
        (TRIANGLE, -2.0, False, 4942.693390, 312.566371, 6),
        (TRIANGLE, -2.0, True, 4950.911629, 320.784610, 3),
        (TRIANGLE, 2.0, False, 3750.911629, 279.215390, 3),
        (Path.circle((3, 4), 25), -0.75, False, 2083.072279, 161.792022, 2),
        (Path.circle((3, 4), 5), 0.75, False, 56.745017, 26.703538, 2),
        (STADIUM, -1.0, False, 1260.132711, 149.115038, 4),
    ],
)
def test_area_and_length_are_those_of_the_formula(
    path: Path, distance: float, sharp: bool, area: float, length: float, segments: int
) -> None:
    result = offset(path, distance, sharp=sharp)
    assert measures(result) == (pytest.approx(area, abs=1e-6), pytest.approx(length, abs=1e-6))
    assert result.paths[0].n_segments == segments
    back = offset(path.reversed(), -distance, sharp=sharp)
    assert measures(back) == (pytest.approx(-area, abs=1e-6), pytest.approx(length, abs=1e-6))


def test_the_two_edges_of_a_cut_round_a_circle_enclose_the_kerf() -> None:
    # A ring of 1.5 mm kerf round a circle of 20 mm diameter: length times width, 94.247780.
    outer, inner = (offset(Path.circle((0, 0), 10), d).paths[0].area() for d in (-0.75, 0.75))
    assert outer - inner == pytest.approx(94.247780, abs=1e-6)


@given(st.integers(0, 10**6), st.sampled_from([0.75, -0.75, 3.0, -3.0]))
def test_random_curves_get_the_rings_and_area_that_shapely_gives(seed: int, distance: float) -> None:
    path = curve(seed)
    assume(path is not None)
    assert path is not None
    result = offset(path, distance)
    assert result.problem == ""
    assume(not result.lost)
    expected = buffered(path, distance)
    assert len(result.paths) == (0 if expected.is_empty else rings(expected))
    sign = 1 if polygon(path).exterior.is_ccw else -1
    area = sign * sum(p.area() for p in result.paths)
    assert abs(area - expected.area) <= 2e-3 * sum(p.length() for p in result.paths)


def test_every_point_of_many_offsets_lies_at_the_distance() -> None:
    paths = curves(3000, 60)
    for distance in (0.75, -3.0):
        for path, result in zip(paths, offset_all(Bundle.of(paths), np.full(60, distance)), strict=True):
            source = shapely.LinearRing(sampled(path, 1e-4))
            for ring in result.paths:
                points = sampled(ring, 1e-2)
                away = shapely.distance(source, shapely.points(points))
                assert np.abs(away - abs(distance)).max() < 1.2e-3  # 1 um where flat corners meet without an arc


def slot(width: float, angle: float = 0.0) -> Path:
    c, s = math.cos(angle), math.sin(angle)
    return Path.rectangle(0, 0, 20, width).transformed([[c, -s], [s, c]])


@pytest.mark.parametrize("angle", [0.0, math.pi / 6])
@pytest.mark.parametrize("over", [-1e-3, -1e-6, 0.0, 1e-6, 1e-5, 1e-3, 9e-3])
def test_a_slot_as_wide_as_the_kerf_is_lost_within_ten_micrometres(over: float, angle: float) -> None:
    result = offset(slot(1.5 + over, angle), 0.75)
    assert result.paths == () and result.lost and result.problem == "" and result.at is not None


@pytest.mark.parametrize("angle", [0.0, math.pi / 6])
def test_a_slot_a_little_wider_keeps_its_path(angle: float) -> None:
    result = offset(slot(1.52, angle), 0.75)
    assert not result.lost
    assert measures(result) == (pytest.approx(18.5 * 0.02, abs=1e-9), pytest.approx(37.04, abs=1e-9))


def neck(width: float) -> Path:
    """Two squares of 10 mm joined by a channel."""
    y = 4 + width
    return Path.polyline(
        [(0, 0), (10, 0), (10, 4), (20, 4), (20, 0), (30, 0), (30, 10), (20, 10), (20, y), (10, y), (10, 10), (0, 10)],
        closed=True,
    )


@pytest.mark.parametrize(("over", "slack"), [(-1e-3, 2e-3), (0.0, 1e-6)])
def test_a_neck_no_wider_than_the_kerf_parts_the_path(over: float, slack: float) -> None:
    result = offset(neck(1.5 + over), 0.75)
    assert len(result.paths) == 2 and not result.lost
    # 8.5 x 8.5 and, before the mouth, what two rounds of 0.75 leave of 0.75 x 1.5.
    expected = 8.5**2 + 0.75 * 1.5 - 0.75**2 * math.pi / 2
    assert [p.area() for p in result.paths] == [pytest.approx(expected, abs=slack)] * 2


def test_a_neck_a_micrometre_wider_keeps_one_path_and_is_told() -> None:
    result = offset(neck(1.501), 0.75)
    assert len(result.paths) == 1 and result.lost and result.at is not None


def test_a_neck_wide_enough_is_one_path() -> None:
    result = offset(neck(1.52), 0.75)
    assert len(result.paths) == 1 and not result.lost


@pytest.mark.parametrize("radius", [0.3, 0.75, 0.75 + 1e-7, 0.755])
def test_a_hole_no_larger_than_the_kerf_is_lost(radius: float) -> None:
    result = offset(Path.circle((7, 8), radius), 0.75)
    assert result.paths == () and result.lost and result.problem == ""
    assert result.at == pytest.approx((7.0, 8.0), abs=0.76)


@pytest.mark.parametrize("radius", [0.5, 0.75, 0.75 + 1e-7, 1.0])
def test_a_round_notch_no_larger_than_the_offset_closes_to_a_corner(radius: float) -> None:
    path = Path([(0, 0, 0), (10, 0, 0), (10, 10, 0), (5 + radius, 10, -1), (5 - radius, 10, 0), (0, 10, 0)], True)
    result = offset(path, -0.75)
    grown = 100 + 40 * 0.75 + math.pi * 0.75**2
    # Over the mouth of the notch two rounds of 0.75 meet, or an arc of radius - 0.75 goes between them.
    half = min(radius, 0.75)
    height = math.sqrt(0.75**2 - half**2)
    missing = 2 * (0.75 * half - (height * half + 0.75**2 * math.asin(half / 0.75)) / 2)
    if radius > 0.75 + 1e-6:
        missing = 2 * 0.75 * radius - 0.75**2 * math.pi / 2 + math.pi * (radius - 0.75) ** 2 / 2
    assert measures(result)[0] == pytest.approx(grown - missing, abs=1e-5)


@pytest.mark.parametrize("noise", [0.0, 5e-6, 5e-4])
@pytest.mark.parametrize("distance", [0.75, -0.75, 3.0])
def test_fillets_that_are_not_quite_tangent_keep_one_piece_each(noise: float, distance: float) -> None:
    bulge = math.tan(math.pi / 8)
    corners = [(3, 0, 0), (97, 0, bulge), (100, 3, 0), (100, 57, bulge)]
    corners += [(97, 60, 0), (3, 60, bulge), (0, 57, 0), (0, 3, bulge)]
    vertices = np.array(corners, dtype=np.float64)
    vertices[:, :2] += np.random.default_rng(3).normal(0, noise, (8, 2))
    result = offset(Path(vertices, True), distance)
    area, length = 6000 - (4 - math.pi) * 9, 320 - (8 - 2 * math.pi) * 3
    assert measures(result)[0] == pytest.approx(
        area - length * distance + math.pi * distance**2, abs=400 * noise + 1e-6
    )
    assert result.paths[0].n_segments <= 8


def test_a_very_flat_arc_moves_by_the_distance() -> None:
    bulge = math.tan(math.asin(50 / 5000) / 2)
    path = Path([(0, 0, 0), (100, 0, 0), (100, 40, bulge), (0, 40, 0)], True)
    ring = offset(path, 0.75).paths[0]
    sagitta = 5000 - math.sqrt(5000**2 - 50**2)
    assert ring.bounds()[3] == pytest.approx(40 + sagitta - 0.75, abs=1e-9)


def test_a_million_millimetres_from_the_origin_nothing_changes() -> None:
    near, far = offset(STADIUM, 1.0).paths[0], offset(STADIUM.moved(1e6, -1e6), 1.0).paths[0]
    assert np.abs(far.vertices - near.vertices - [1e6, -1e6, 0]).max() < 1e-9


def test_two_thousand_noisy_chords_are_refused_or_right_but_never_wrong() -> None:
    rng = np.random.default_rng(0)
    angle = np.arange(2000) * 2 * np.pi / 2000
    points = 10 * np.column_stack([np.cos(angle), np.sin(angle)]) + rng.normal(0, 1e-3, (2000, 2))
    result = offset(Path.polyline(points, closed=True), 0.75)
    if not result.problem:
        assert abs(sum(p.area() for p in result.paths) - math.pi * 9.25**2) < 0.1
    assert result.problem == "" or (result.paths == () and result.at is not None)


def test_a_wavy_outline_of_three_thousand_pieces_keeps_its_round_room() -> None:
    angle = np.arange(3000) * 2 * np.pi / 3000
    radius = 500 + 60 * np.sin(7 * angle) + 3 * np.sin(90 * angle)
    path = Path.polyline(np.column_stack([radius * np.cos(angle), radius * np.sin(angle)]), closed=True)
    result = offset(path, -20.0)
    expected = polygon(path).buffer(20.0, quad_segs=128)
    assert abs(measures(result)[0] - expected.area) < 2e-3 * expected.length


@pytest.mark.parametrize(
    ("path", "words", "at"),
    [
        (Path.polyline([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True), "crosses itself", (5.0, 5.0)),
        (
            Path.polyline([(0, 0), (10, 0), (10, 5), (15, 5), (10, 5), (10, 10), (0, 10)], closed=True),
            "runs back on itself",
            (12.5, 5.0),
        ),
        (
            Path.polyline([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)], closed=True),
            "touches itself",
            (5.0, 0.0),
        ),
    ],
)
def test_a_contour_that_meets_itself_is_refused_with_the_place(path: Path, words: str, at: tuple) -> None:
    result = offset(path, 0.75)
    assert result.paths == () and words in result.problem
    assert result.at == pytest.approx(at, abs=1e-6)


def test_a_mouth_that_closes_leaves_a_ring_outside_and_one_inside() -> None:
    outside = [(9.5, 20), (0, 20), (0, 0), (20, 0), (20, 20), (10.5, 20)]
    inside = [(10.5, 18), (18, 18), (18, 2), (2, 2), (2, 18), (9.5, 18)]
    path = Path.polyline([*outside, *inside], closed=True)
    result = offset(path, -0.75)
    # A square of 20 rounded by 0.75, less the dip over the mouth of 1 mm; and the room of 16 with a dip, clockwise.
    half, d = 0.5, 0.75
    dip = 2 * (d * half - (math.sqrt(d * d - half * half) * half + d * d * math.asin(half / d)) / 2)
    areas = sorted(p.area() for p in result.paths)
    assert areas == [
        pytest.approx(-(14.5**2 + dip), abs=1e-6),
        pytest.approx(400 + 80 * d + math.pi * d * d - dip, abs=1e-6),
    ]


def test_a_slot_too_narrow_to_enter_is_told_with_its_depth() -> None:
    keyhole = Path.polyline(
        [(0, 0), (20, 0), (20, 9.5), (30, 9.5), (30, 10.5), (20, 10.5), (20, 20), (0, 20)], closed=True
    )
    (place,) = offset(keyhole, 0.75).unreached
    assert place[0] == 30.0 and 9.5 <= place[1] <= 10.5
    chamfered = Path.polyline([(0, 0), (20, 0), (20, 19.7), (19.7, 20), (0, 20)], closed=True)
    assert offset(chamfered, 0.75).unreached == ()


def test_corners_too_flat_for_an_arc_meet_within_a_micrometre() -> None:
    count = 100  # corners of 3.6 degrees
    angle = np.arange(count) * 2 * np.pi / count
    ring = offset(Path.polyline(20 * np.column_stack([np.cos(angle), np.sin(angle)]), closed=True), -0.75).paths[0]
    assert ring.n_segments == count and (ring.vertices[:, 2] == 0).all()
    # The corner lies at 20 + d / cos(1.8 degrees).
    assert np.abs(np.hypot(*ring.vertices[:, :2].T) - 20 - 0.75 / math.cos(math.pi / count)).max() < 1e-9


def test_sharp_corners_reach_four_distances_and_no_further() -> None:
    def tip(corner_deg: float) -> float:
        half = math.radians(corner_deg / 2)
        wedge = Path.polyline([(0, 0), (50, -50 * math.tan(half)), (50, 50 * math.tan(half))], closed=True)
        return -offset(wedge, -1.0, sharp=True).paths[0].bounds()[0]

    assert tip(30.0) == pytest.approx(1 / math.sin(math.radians(15)), abs=1e-9)
    assert tip(28.0) == pytest.approx(1.0, abs=1e-9)  # 1 / sin 14 degrees is beyond 4: rounded


def test_sharp_corners_between_arcs_are_met_along_their_tangents() -> None:
    lens = Path([(0, -5, 0.4), (0, 5, 0.4)], True)
    ring = offset(lens, -0.75, sharp=True).paths[0]
    turn = math.pi - 4 * math.atan(0.4)
    assert ring.bounds()[3] == pytest.approx(5 + 0.75 / math.cos(turn / 2), abs=1e-9)
    assert ring.n_segments == 6


def test_sharp_curves_never_cross_themselves() -> None:
    paths = curves(7000, 60)
    for result in offset_all(Bundle.of(paths), np.full(60, -1.5), sharp=True):
        assert result.problem == ""
        for ring in result.paths:
            assert polygon(ring, 1e-4).is_valid


def test_neighbours_on_one_line_become_one() -> None:
    path = Path.polyline([(0, 0), (5, 0), (10, 0), (10, 10), (5, 10), (0, 10)], closed=True)
    assert offset(path, 0.75).paths[0].n_segments == 4


def test_the_source_itself_comes_back_at_no_distance() -> None:
    assert offset(STADIUM, 0.0).paths[0].area() == STADIUM.area()


def test_open_paths_and_wrong_counts_are_wrong_calls() -> None:
    with pytest.raises(ValueError, match="closed"):
        offset_all(Bundle.of([Path.polyline([(0, 0), (1, 0)])]), np.array([1.0]))
    with pytest.raises(ValueError, match="one finite distance"):
        offset_all(Bundle.of([STADIUM]), np.array([1.0, 2.0]))
    assert offset_all(Bundle.of([]), np.empty(0)) == ()


def test_each_path_has_its_own_distance_whatever_lies_on_top_of_it() -> None:
    results = offset_all(Bundle.of([RECTANGLE, RECTANGLE, RECTANGLE]), np.array([1.0, -1.0, 2.0]))
    assert [round(r.paths[0].area(), 6) for r in results] == [98 * 58, round(6320 + math.pi, 6), 96 * 56]


def test_the_same_input_gives_the_same_bytes() -> None:
    paths = Bundle.of(curves(9000, 40))
    first, second = (offset_all(paths, np.full(40, 3.0)) for _ in range(2))
    for a, b in zip(first, second, strict=True):
        assert [p.vertices.tobytes() for p in a.paths] == [p.vertices.tobytes() for p in b.paths]


def test_the_work_can_be_watched_and_stopped() -> None:
    seen: list[float] = []
    offset_all(Bundle.of(curves(0, 5)), np.full(5, 0.75), watch=lambda _, share: seen.append(share))
    assert seen[0] == 0.0 and seen[-1] == 1.0

    def stop(stage: str, share: float) -> None:
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        offset_all(Bundle.of([STADIUM]), np.array([1.0]), watch=stop)
