"""The search tree against comparing every box with every other."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.index import Index, box_pairs, own_pairs, point_boxes


def boxes(seed: int, count: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    low = rng.uniform(0, 50, (count, 2))
    return np.column_stack([low, low + rng.uniform(0, 6, (count, 2))])


def overlapping(a: np.ndarray, b: np.ndarray, reach: float) -> np.ndarray:
    apart = np.maximum(a[:, None, :2] - b[None, :, 2:], b[None, :, :2] - a[:, None, 2:])
    return np.argwhere((apart <= reach).all(axis=2))


@pytest.mark.parametrize("reach", [0.0, 1.5])
def test_pairs_are_those_of_comparing_all_in_order(reach: float) -> None:
    a, b = boxes(1, 80), boxes(2, 60)
    i, j = Index(b).pairs(a, reach)
    assert np.array_equal(np.column_stack([i, j]), overlapping(a, b, reach))
    assert len(i) > 20


def test_each_asked_box_may_have_its_own_reach() -> None:
    found = box_pairs(np.array([[0.0, 0, 1, 1], [0, 5, 1, 6]]), np.array([[3.0, 0, 4, 6]]), np.array([2.0, 1.0]))
    assert [list(x) for x in found] == [[0], [0]]


def test_own_pairs_keep_owners_apart_however_they_overlap() -> None:
    a, b = boxes(3, 80), boxes(4, 60)
    owner_a, owner_b = np.arange(80) % 7, np.arange(60) % 7
    i, j = own_pairs(a, owner_a, b, owner_b, 1.0)
    all_pairs = overlapping(a, b, 1.0)
    own = all_pairs[owner_a[all_pairs[:, 0]] == owner_b[all_pairs[:, 1]]]
    assert np.array_equal(np.column_stack([i, j]), own)


def test_nothing_is_near_nothing() -> None:
    empty = np.empty((0, 4))
    none = np.empty(0, dtype=np.int64)
    assert len(Index(empty).pairs(boxes(1, 3))[0]) == 0
    assert len(Index(boxes(1, 3)).pairs(empty)[0]) == 0
    assert len(own_pairs(empty, none, boxes(1, 3), np.zeros(3, dtype=np.int64))[0]) == 0
    assert Index(empty).some_near(np.zeros((2, 2)), 1.0).tolist() == [-1, -1]


def test_a_point_has_a_box_without_extent() -> None:
    assert point_boxes(np.array([[1.0, 2.0]])).tolist() == [[1.0, 2.0, 1.0, 2.0]]
