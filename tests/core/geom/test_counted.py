"""Rows written out by plain loops."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.counted import counted, ranges


@pytest.mark.parametrize("counts", [[], [0], [3], [2, 0, 1], [0, 0, 4, 0]])
def test_each_thing_has_its_row_and_its_number(counts: list[int]):
    row, number = counted(np.array(counts, dtype=np.int64))
    assert list(zip(row.tolist(), number.tolist(), strict=True)) == [
        (r, k) for r, n in enumerate(counts) for k in range(n)
    ]


def test_all_numbers_of_all_ranges_come_in_order():
    row, number = ranges(np.array([5, 2, 9]), np.array([7, 2, 12]))
    assert row.tolist() == [0, 0, 2, 2, 2] and number.tolist() == [5, 6, 9, 10, 11]
