"""The grid of cells against comparing every box with every other, on even and on very uneven sheets."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.grid import FEW, Grid, few_pairs
from kerfproof.geom.index import Index


def even(seed: int, count: int, widest: float = 6.0) -> np.ndarray:
    rng = np.random.default_rng(seed)
    low = rng.uniform(-300, 300, (count, 2))
    return np.column_stack([low, low + rng.uniform(0, widest, (count, 2))])


def of_all_sizes(seed: int, count: int) -> np.ndarray:
    """Boxes from a thousandth of a millimetre to the whole sheet, thin ones among them."""
    rng = np.random.default_rng(seed)
    low = rng.uniform(-300, 300, (count, 2))
    return np.column_stack([low, low + 10 ** rng.uniform(-3, 2.8, (count, 2))])


def on_cell_borders(seed: int, count: int) -> np.ndarray:
    """Boxes with whole coordinates, so that many only touch."""
    rng = np.random.default_rng(seed)
    low = rng.integers(0, 40, (count, 2)).astype(float)
    return np.column_stack([low, low + rng.integers(0, 3, (count, 2))])


def compared(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    apart = np.maximum(a[:, None, :2] - b[None, :, 2:], b[None, :, :2] - a[:, None, 2:])
    return np.argwhere((apart <= 0).all(axis=2))


@pytest.mark.parametrize("make", [even, of_all_sizes, on_cell_borders])
@pytest.mark.parametrize("seed", range(5))
def test_a_grid_finds_what_comparing_all_finds_in_order(make, seed: int) -> None:
    a, b = make(seed, 400), make(seed + 100, 300)
    found = Grid(b).pairs(a)
    assert found is not None
    assert np.array_equal(np.column_stack(found), compared(a, b))
    assert len(found[0]) > 5


@pytest.mark.parametrize("make", [even, of_all_sizes, on_cell_borders])
def test_a_plain_table_finds_the_same(make) -> None:
    a, b = make(7, 90), make(8, 110)
    assert np.array_equal(np.column_stack(few_pairs(a, b)), compared(a, b))


def test_a_box_without_end_meets_all_and_one_that_is_no_number_meets_none() -> None:
    a = np.array([[-np.inf, -np.inf, np.inf, np.inf], [np.nan, 0, 1, 1]])
    found = Grid(even(3, 500)).pairs(a)
    assert found is not None
    assert found[0].tolist() == [0] * 500
    assert found[1].tolist() == list(range(500))


def test_boxes_in_one_heap_far_from_a_lone_one_are_left_to_the_tree() -> None:
    heap = np.vstack([even(4, 2000, 0.1) / 1e6, [[1e6, 1e6, 1e6 + 1, 1e6 + 1]]])
    assert Grid(heap).pairs(heap) is None
    i, j = Index(heap).pairs(heap)
    assert len(heap) ** 2 > FEW
    assert np.array_equal(np.column_stack([i, j]), compared(heap, heap))


def test_equal_boxes_and_a_single_row_are_no_trouble() -> None:
    same = np.tile([[5.0, 5.0, 5.0, 5.0]], (300, 1))
    found = Grid(same).pairs(same[:3])
    assert found is not None
    assert len(found[0]) == 900
    row = np.column_stack([np.arange(500.0), np.zeros(500), np.arange(500.0) + 0.5, np.zeros(500)])
    found = Grid(row).pairs(row)
    assert found is not None
    assert np.array_equal(np.column_stack(found), compared(row, row))
