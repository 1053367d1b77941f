from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from kerfproof.geom.circles import arc_distances, best_circle, chain_distances, through_ends
from support.drawings.curves import points_of


def test_distances_from_an_arc_are_those_from_its_fine_chords() -> None:
    rng = np.random.default_rng(3)
    for _ in range(40):
        p, q = rng.normal(0, 10, (2, 2))
        bulge = float(rng.uniform(-1, 1))
        points = rng.normal(0, 15, (30, 2))
        line = shapely.LineString(points_of(p, q, bulge, 4_000))
        assert np.allclose(
            arc_distances(points, p, q, bulge), shapely.distance(shapely.points(points), line), atol=1e-4
        )


def test_the_nearest_piece_of_a_chain_counts() -> None:
    chain = np.array([(0, 0, 0), (10, 0, 1), (10, 10, 0)], dtype=float)
    found = chain_distances(np.array([(5.0, 1.0), (16.0, 5.0), (-3.0, 4.0)]), chain)
    assert found == pytest.approx([1, 1, 5])


def test_a_circle_is_found_far_from_the_origin() -> None:
    angle = np.linspace(0, 2, 9)
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * 12 + [1e6, -1e6]
    circle = best_circle(points)
    assert circle is not None
    assert circle[0] == pytest.approx([1e6, -1e6], abs=1e-6)
    assert circle[1:] == pytest.approx((12, 0), abs=1e-6)


def test_points_of_no_size_or_on_a_line_have_no_circle() -> None:
    assert best_circle(np.zeros((4, 2))) is None
    assert through_ends(np.array([(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)])) is None


def test_an_arc_of_three_quarters_comes_in_two_pieces_with_its_ends_to_the_last_bit() -> None:
    angle = np.linspace(0.3, 0.3 + 1.5 * math.pi, 40)
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * 7
    arc = through_ends(points)
    assert arc is not None
    assert len(arc.vertices) == 3
    assert (arc.vertices[[0, -1], :2] == points[[0, -1]]).all()
    assert arc.vertices[:2, 2] == pytest.approx(math.tan(1.5 * math.pi / 8))
    assert arc.error < 1e-12


def test_points_that_go_back_along_the_arc_are_none() -> None:
    angle = np.array([0.0, 0.5, 1.0, 0.6, 1.4])
    assert through_ends(np.column_stack([np.cos(angle), np.sin(angle)]) * 10) is None
