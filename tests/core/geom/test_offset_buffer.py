"""The last resort alone: the library's topology with exact edges."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.offset.buffer import buffered_offset, nothing_left
from kerfproof.geom.offset.offset import offset_all
from kerfproof.geom.path import Bundle, Path
from support.drawings.curves import curves


@pytest.mark.parametrize(("distance", "area"), [(-0.75, 6241.767146), (0.75, 5762.25)])
def test_edges_are_exact_lines_and_arcs(distance: float, area: float) -> None:
    # Areas from Steiner's formula and from the shrunk sides.
    (loops,) = buffered_offset(Bundle.of([Path.rectangle(0, 0, 100, 60)]), np.array([distance]))
    assert loops is not None
    assert [Path(loop, True).area() for loop in loops] == [pytest.approx(area, abs=1e-6)]


def test_a_circle_comes_back_as_two_halves() -> None:
    (loops,) = buffered_offset(Bundle.of([Path.circle((3, 4), 5)]), np.array([0.75]))
    assert loops is not None and Path(loops[0], True).area() == pytest.approx(np.pi * 4.25**2, abs=1e-9)
    assert len(loops[0]) == 2


def test_it_agrees_with_the_exact_ways_on_most_random_curves() -> None:
    paths = curves(30000, 60)
    distance = np.full(60, 0.75)
    alike = 0
    for loops, exact in zip(
        buffered_offset(Bundle.of(paths), distance), offset_all(Bundle.of(paths), distance), strict=True
    ):
        if loops is not None:
            area = sum(Path(loop, True).area() for loop in loops)
            alike += abs(area - sum(p.area() for p in exact.paths)) < 1e-5
    assert alike >= 50


def test_nothing_left_is_told_apart_from_little_left() -> None:
    assert nothing_left(Path.rectangle(0, 0, 9, 1.5), 0.76)
    assert not nothing_left(Path.rectangle(0, 0, 9, 1.5), 0.7)
    assert not nothing_left(Path.polyline([(0, 0), (9, 9), (9, 0), (0, 9)], closed=True), 5.0)
