"""Merging keeps the curve and drops idle vertices."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.offset.merge import merged
from kerfproof.geom.path import Bundle, Path


def one(path: Path) -> Path:
    return merged(Bundle.of([path]))[0]


def test_lines_in_a_row_become_one_also_over_the_start() -> None:
    path = Path.polyline([(5, 0), (7, 0), (10, 0), (10, 6), (0, 6), (0, 0)], closed=True)
    assert one(path).n_segments == 4 and one(path).area() == pytest.approx(60.0)


def test_arcs_of_one_circle_become_one_up_to_a_half() -> None:
    quarters = np.tan(np.pi / 8)
    circle = Path([(5, 0, quarters), (0, 5, quarters), (-5, 0, quarters), (0, -5, quarters)], True)
    assert one(circle).n_segments == 4  # every vertex could go: the curve is left alone
    slot = Path([(0, 0, 0), (9, 0, quarters), (14, 5, quarters), (9, 10, 0), (0, 10, 0)], True)
    assert one(slot).n_segments == 4
    assert one(slot).area() == pytest.approx(slot.area(), abs=1e-9)


def test_real_corners_and_other_radii_stay() -> None:
    path = Path([(0, 0, 0), (10, 1e-4, 0), (20, 0, 0.2), (20, 8, 0.3), (0, 8, 0)], True)
    assert one(path).n_segments == 5


def test_a_slowly_turning_chain_is_not_taken_for_a_line() -> None:
    x = np.linspace(0, 1, 200)
    chain = np.column_stack([x, 1e-3 * x**2])  # each vertex is within 1e-6 of its neighbours' chord
    path = Path.polyline([*chain, (1, 1), (0, 1)], closed=True)
    kept = one(path)
    on_chain = kept.vertices[kept.vertices[:, 1] < 0.5, :2]
    middle = np.interp(x, on_chain[:, 0], on_chain[:, 1])
    assert np.abs(middle - 1e-3 * x**2).max() < 3e-6
    assert len(on_chain) > 5
