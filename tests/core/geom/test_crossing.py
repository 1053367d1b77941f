"""Where segments meet: drawn cases, and counts against shapely on straight lines."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from kerfproof.geom.crossing import CROSS, OVERLAP, TOUCH, crossings
from kerfproof.geom.path import Bundle, Path, Segments
from support.drawings.curves import curves


def found(*paths: Path, owner_pairs: str = "all") -> list[tuple[str, float, float]]:
    c = crossings(Bundle.of(paths).segments(), owner_pairs=owner_pairs)  # type: ignore[arg-type]
    return [(str(k), round(float(x), 6), round(float(y), 6)) for k, (x, y) in zip(c.kind, c.at, strict=True)]


@pytest.mark.parametrize(
    "path",
    [
        Path.rectangle(0, 0, 4, 3),
        Path.circle((0, 0), 5),
        Path([(0, 0, 0), (40, 0, 1), (40, 20, 0), (0, 20, 1)], True),
        Path([(0, 0, 0), (10, 0, -1), (20, 0, 0), (20, 10, 0), (0, 10, 0)], True),
        Path.polyline([(0, 0), (5, 0), (10, 0), (10, 5)], closed=True),
    ],
)
def test_a_sound_contour_meets_itself_only_at_its_vertices(path: Path) -> None:
    assert found(path) == []


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        (Path.polyline([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True), [(CROSS, 5.0, 5.0)]),
        # A line back through the arc before it: (5, 0) radius 5, met again where the line x = 10 - y cuts it.
        (Path([(0, 0, 1), (10, 0, 0), (4, -6, 0), (-5, -6, 0), (-5, 0, 0)], True), [(CROSS, 5.0, -5.0)]),
        # Out and back on itself.
        (Path.polyline([(0, 0), (10, 0), (4, 0), (4, 5)], closed=False), [(OVERLAP, 7.0, 0.0)]),
        (Path([(0, 0, 1), (10, 0, -1), (0, 0, 0), (-5, 5, 0)], False), [(OVERLAP, 5.0, -5.0)]),
    ],
)
def test_a_contour_that_meets_itself_is_told_with_the_place(path: Path, expected: list) -> None:
    assert expected[0] in found(path)


def test_a_corner_on_another_side_touches() -> None:
    pinched = Path.polyline([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)], closed=True)
    assert {kind for kind, _, _ in found(pinched)} == {TOUCH}
    assert (TOUCH, 5.0, 0.0) in found(pinched)


def test_tangent_circles_touch_and_deeper_ones_cross_twice() -> None:
    assert found(Path.circle((0, 0), 5), Path.circle((0, 10), 5)) == [(TOUCH, 0.0, 5.0)]
    deep = found(Path.circle((0, 0), 5), Path.circle((0, 8), 5))
    assert deep == [(CROSS, 3.0, 4.0), (CROSS, -3.0, 4.0)]


def test_shared_stretches_overlap_at_their_middle() -> None:
    a, b = Path.polyline([(0, 0), (10, 0)]), Path.polyline([(6, 0), (20, 0)])
    assert found(a, b) == [(OVERLAP, 8.0, 0.0)]
    quarter = Path.arc((0, 0), 5, 0.0, np.pi / 2)
    eighth = Path.arc((0, 0), 5, np.pi / 4, np.pi / 2)
    middle = 5 * np.array([np.cos(3 * np.pi / 8), np.sin(3 * np.pi / 8)])
    assert found(quarter, eighth) == [(OVERLAP, *np.round(middle, 6))]


def test_owners_can_be_picked() -> None:
    eight = Path.polyline([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True)
    through = Path.polyline([(-5, 2), (25, 2)])
    assert found(eight, through, owner_pairs="same") == [(CROSS, 5.0, 5.0)]
    assert [x for _, x, _ in found(eight, through, owner_pairs="other")] == [2.0, 10.0, 8.0, 0.0]
    assert len(found(eight, through)) == 5


def test_crossings_of_straight_lines_are_those_shapely_finds() -> None:
    rng = np.random.default_rng(4)
    p0, p1 = rng.uniform(0, 100, (2, 150, 2))
    c = crossings(Segments.between(p0, p1, np.zeros(150), np.arange(150), np.zeros(150, dtype=np.int64)))
    lines = shapely.linestrings(np.stack([p0, p1], axis=1))
    i, j = np.triu_indices(150, 1)
    expected = shapely.crosses(lines[i], lines[j])
    assert np.array_equal(np.column_stack([c.i, c.j]), np.column_stack([i[expected], j[expected]]))
    points = shapely.get_coordinates(shapely.intersection(lines[c.i], lines[c.j]))
    assert np.abs(points - c.at).max() < 1e-9
    assert (c.kind == CROSS).all()


def test_random_sound_curves_are_found_sound() -> None:
    c = crossings(Bundle.of(curves(0, 150)).segments(), owner_pairs="same")
    assert len(c) == 0


def test_shifted_curves_cross_as_often_as_their_chords_say() -> None:
    for path in curves(500, 25):
        other = path.moved(2.345, 1.234)
        met = crossings(Bundle.of([path, other]).segments(), owner_pairs="other")
        a, b = (shapely.LinearRing(p.flattened(1e-5)) for p in (path, other))
        assert len(met) == len(shapely.get_parts(shapely.intersection(a, b)))
