"""Open chains: how far their ends are from the nearest loose end of another."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.geom.path import Path
from kerfproof.parts.join_contours import JoinSettings, join_contours
from support.referees.strategies import drawing_of


def test_the_gap_told_is_that_to_the_nearest_loose_end_within_ten_millimetres() -> None:
    rng = np.random.default_rng(5)
    columns = np.arange(18)[:, None] * np.array([7.0, 0.0])
    starts = columns + rng.uniform(0, 9, (18, 2))
    ends = columns + np.array([0.0, 60.0]) + rng.uniform(-4, 4, (18, 2))
    lines = [Path.polyline([a, b]) for a, b in zip(starts, ends, strict=True)]
    found = join_contours(drawing_of(*lines), JoinSettings()).findings
    spots = np.vstack([starts, ends])
    apart = np.hypot(*(spots[:, None] - spots[None]).T)
    apart[np.equal.outer(np.arange(36) % 18, np.arange(36) % 18)] = np.inf
    gaps = apart.min(axis=0).reshape(2, 18).min(axis=0)
    wanted = np.where(gaps <= 10, gaps, np.hypot(*(ends - starts).T))
    told = [f.size for f in found if f.rule == "open-chain"]
    assert sorted(told) == pytest.approx(sorted(wanted.tolist()), abs=1e-9)
