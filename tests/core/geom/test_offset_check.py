"""The check that stands between a wrong offset and its use: planted faults must not pass."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.offset.check import at_distance, crosses_itself, self_meetings
from kerfproof.geom.offset.offset import offset_all
from kerfproof.geom.path import Bundle, Path
from support.drawings.curves import curves


def passes(ring: Path, source: Path, distance: float, *, sharp: bool = False) -> bool:
    owner = np.array([0])
    result = at_distance(Bundle.of([ring]), owner, source.segments(), np.array([distance]), sharp)
    return bool(result[0])


SOURCE = Path.rectangle(0, 0, 40, 20)
INSIDE = Path.rectangle(1, 1, 39, 19)


def test_the_right_curve_passes() -> None:
    assert passes(INSIDE, SOURCE, 1.0)


@pytest.mark.parametrize("fault", [-0.0006, 0.002, 5.0])
def test_a_side_too_near_or_too_far_fails(fault: float) -> None:
    assert not passes(Path.rectangle(1 + fault, 1, 39, 19), SOURCE, 1.0)


def test_a_line_bowed_between_its_right_ends_fails() -> None:
    bowed = INSIDE.vertices.copy()
    bowed[0, 2] = 2e-3 * 2 / 38  # 2 um towards the source
    assert not passes(Path(bowed, True), SOURCE, 1.0)
    bowed[0, 2] *= -1
    assert not passes(Path(bowed, True), SOURCE, 1.0)


def test_a_thorn_between_samples_that_comes_too_near_fails() -> None:
    spoiled = Path.polyline([(1, 1), (13.0, 1), (13.01, 0.9), (13.02, 1), (39, 1), (39, 19), (1, 19)], closed=True)
    assert not passes(spoiled, SOURCE, 1.0)


def test_mitres_pass_only_where_corners_are_meant_sharp() -> None:
    mitred = Path.rectangle(-1, -1, 41, 21)
    assert passes(mitred, SOURCE, -1.0, sharp=True)
    assert not passes(mitred, SOURCE, -1.0)


def test_offsets_of_random_curves_pass_and_moved_ones_fail() -> None:
    paths = curves(40000, 30)
    for path, result in zip(paths, offset_all(Bundle.of(paths), np.full(30, -0.75)), strict=True):
        for ring in result.paths:
            assert passes(ring, path, -0.75)
            assert not passes(ring.moved(0.003, 0.002), path, -0.75)


def test_crossing_and_narrow_places_are_found() -> None:
    eight = Path.polyline([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True)
    thin = Path.rectangle(0, 0, 10, 0.004)
    pinched = Path.polyline([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)], closed=True)
    bundle = Bundle.of([SOURCE, eight, thin, pinched])
    crossed, narrow = self_meetings(bundle, 0.01)
    assert crossed.tolist() == [False, True, False, True]
    assert narrow.tolist() == [False, True, True, True]
    assert crosses_itself(bundle).tolist() == [False, True, False, False]
