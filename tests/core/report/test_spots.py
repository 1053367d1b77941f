from __future__ import annotations

import math

import pytest
import shapely

from kerfproof.geom.path import Path
from kerfproof.report.picture.spots import Spots, name_spot


def test_the_wanted_side_is_taken_while_it_is_free_and_then_another() -> None:
    spots = Spots(0, 0, 200, 200)
    first = spots.find(100, 100, 10, 0.0, (30.0, 60.0))
    assert first == pytest.approx((130, 100))
    others = [spots.find(100, 100, 10, 0.0, (30.0, 60.0)) for _ in range(9)]
    every = [first, *others]
    for k, a in enumerate(every):
        for b in every[:k]:
            assert math.dist(a, b) >= 20 - 1e-9


def test_spots_stay_inside_and_a_full_page_gives_the_first_choice() -> None:
    spots = Spots(0, 0, 40, 40)
    found = [spots.find(2, 2, 10, math.pi, (30.0,)) for _ in range(20)]
    assert all(10 <= u <= 30 and 10 <= v <= 30 for u, v in found)
    assert found[-1] == found[0]


def test_a_name_stands_in_the_metal_clear_of_outline_and_holes() -> None:
    outline = Path.rectangle(0, 0, 100, 60)
    hole = Path.circle((50, 30), 20)
    spot = name_spot([outline, hole], 24, 8)
    assert spot is not None
    x, y = spot
    metal = shapely.Polygon([(0, 0), (100, 0), (100, 60), (0, 60)]).difference(shapely.Point(50, 30).buffer(20, 64))
    assert metal.buffer(0.1).contains(shapely.box(x - 12, y - 4, x + 12, y + 4))


def test_a_name_without_room_gets_no_spot() -> None:
    ring = [Path.circle((0, 0), 20), Path.circle((0, 0), 16)]
    assert name_spot(ring, 24, 8) is None
    assert name_spot([Path.rectangle(0, 0, 10, 10)], 24, 8) is None
