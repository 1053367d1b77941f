"""Stretches along which segments run beside others, against places asked one by one."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.along import cut_at, split_along, stretches_near
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Path, Segments


def wild(rng: np.random.Generator, n: int) -> Segments:
    vertices = np.column_stack([rng.uniform(0, 20, (n, 2)), rng.choice([0, 0, 1, -1, 0.3, -0.6], n)])
    return Path(vertices, False).segments()


@pytest.mark.parametrize("reach", [0.05, 1.0, 3.0])
@pytest.mark.parametrize("seed", range(40))
def test_every_piece_is_near_all_along_or_nowhere(seed: int, reach: float):
    rng = np.random.default_rng(seed)
    s, onto = wild(rng, 5), wild(rng, 4)
    pieces, first = split_along(s, onto, reach)
    assert len(first) == len(s) + 1 and first[-1] == len(pieces)
    assert pieces.lengths().sum() == pytest.approx(s.lengths().sum())
    every = np.arange(len(pieces))
    near = [
        np.isfinite(nearest(pieces.points(every, np.full(len(pieces), share)), onto, reach)[0])
        for share in np.linspace(0.01, 0.99, 41)
    ]
    assert all((k == near[20]).all() for k in near)


def test_the_bounds_are_exact():
    s = Path.polyline([(0, 0), (100, 0)]).segments()
    found = stretches_near(s, Path.polyline([(30, 0.03), (50, 0.03)]).segments(), 0.05)
    assert found.near.tolist() == [False, True, False]
    assert found.low[1:] * 100 == pytest.approx([29.96, 50.04], abs=1e-9)
    across = stretches_near(s, Path.polyline([(40, -5), (40, 5)]).segments(), 0.05)
    assert found.high[-1] == 1.0 and across.lengths(s)[across.near] == pytest.approx([0.1], abs=1e-9)
    beside = stretches_near(s, Path.arc((50, 10), 10.0, np.pi, np.pi).segments(), 0.5)
    assert beside.lengths(s)[beside.near] == pytest.approx([2 * np.sqrt(10.5**2 - 10**2)], abs=1e-9)
    assert len(stretches_near(s, Path.polyline([(0, 1), (9, 1)]).segments(), 0.5).which) == 0


def test_cut_segments_keep_their_owner_and_join_to_the_last_bit():
    s = Path([(0, 0, 0.5), (10, 0, 0.0), (20, 5, 0.0)], False).segments()
    pieces, first = cut_at(s, np.array([0, 0, 1]), np.array([0.25, 0.75, 0.5]))
    assert first.tolist() == [0, 3, 5] and pieces.index.tolist() == [0, 0, 0, 1, 1]
    assert (pieces.p1[:-1] == pieces.p0[1:]).all()
    assert pieces.radius[:3] == pytest.approx(s.radius[0]) and pieces.lengths()[:3].sum() == pytest.approx(
        s.lengths()[0]
    )
