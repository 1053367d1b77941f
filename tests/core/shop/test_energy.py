"""The feed by the balance of energy, against handbook rows and the worked table that follow from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof.errors import KerfproofError
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.shop.energy import BEYOND, estimate, feed_law, pierce_limit
from support.shop import shop

# "Typical conditions" of welding handbooks for high-current plasma (textbook tables 17-2 and 17-3): thickness mm,
# feed mm/s, orifice mm, A, kW, and the efficiency worked out for them with a kerf of 1.5 orifices.
STAINLESS = [(6, 86, 3.2, 300, 60, 0.39), (13, 42, 3.2, 300, 60, 0.39), (25, 21, 4.0, 400, 80, 0.37),
             (51, 9, 4.8, 500, 100, 0.28), (76, 7, 4.8, 500, 100, 0.34), (102, 3, 4.8, 500, 100, 0.23)]  # fmt: skip
STEEL = [(6, 86, 3.2, 275, 40, 0.65), (13, 42, 3.2, 275, 50, 0.52), (25, 21, 4.0, 425, 80, 0.41),
         (51, 11, 4.8, 550, 110, 0.36)]  # fmt: skip
CHART = shop.chart()
STEEL_ROWS = [row for row in CHART.rows if row.material == "mild steel"]


def row(thickness: float, feed: float, kerf: float = 1.5, amps: float = 50.0, **changes: object) -> Process:
    return replace(STEEL_ROWS[0], thickness=thickness, feed_mm_min=feed, kerf=kerf, amps=amps, **changes)  # type: ignore[arg-type]


def test_without_drift_feed_times_thickness_is_constant() -> None:
    law = feed_law([row(3.0, 2000.0)])
    for t in (2.4, 3.0, 3.7):
        assert law.feed(t, 1.5, 50.0) * t == pytest.approx(2000 * 3)
    assert law.feed(3.0, 1.5, 25.0) == pytest.approx(1000)  # half the power, half the feed
    with pytest.raises(ValueError):
        feed_law([])


def test_two_rows_are_met_exactly_and_between_them_the_feed_falls_as_a_power() -> None:
    law = feed_law([row(3.0, 2200.0), row(6.0, 1000.0)])
    assert law.feed(3.0, 1.5, 50.0) == pytest.approx(2200)
    assert law.feed(6.0, 1.5, 50.0) == pytest.approx(1000)
    assert law.feed(np.sqrt(18.0), 1.5, 50.0) == pytest.approx(np.sqrt(2200 * 1000))


def test_a_known_law_with_noise_is_found_within_its_spread() -> None:
    random = np.random.default_rng(7)
    rows = [row(t, 60000 * t**-1.3 * np.exp(0.08 * random.standard_normal())) for t in (1.5, 2, 3, 4, 5, 6, 8, 10)]
    law = feed_law(rows)
    assert law.drift == pytest.approx(-0.3, abs=0.15)
    assert 0.04 < law.spread < 0.16
    for t in (2.5, 7.0):
        assert law.feed(t, 1.5, 50.0) == pytest.approx(60000 * t**-1.3, rel=2 * law.spread)


@pytest.mark.parametrize(("material", "rows"), [("stainless steel", STAINLESS), ("mild steel", STEEL)])
def test_a_handbook_row_left_out_is_foretold_by_the_others_within_a_third(
    material: str, rows: list[tuple[float, ...]]
) -> None:
    processes = [row(t, v * 60, 1.5 * orifice, 1000 * kw / 115) for t, v, orifice, _a, kw, _e in rows[:4]]
    for k in range(1, len(processes) - 1):
        left = processes[k]
        law = feed_law([p for p in processes if p is not left])
        foretold = law.feed(left.thickness, left.kerf, left.amps)
        assert foretold == pytest.approx(left.feed_mm_min, rel=0.33)


def test_every_inner_row_of_the_built_in_chart_is_foretold_by_the_others_of_its_current() -> None:
    mine = [r for r in STEEL_ROWS if r.amps == 50.0 and r.pierce is not PierceRating.NO]
    for left in mine[1:-1]:
        found = estimate([r for r in mine if r is not left], left.thickness, 50.0, "chart")
        assert found.feed_mm_min == pytest.approx(left.feed_mm_min, rel=0.1)


def test_an_estimate_says_that_it_is_one_with_its_spread() -> None:
    found = estimate(STEEL_ROWS, 7.0, None, "chart")
    assert found.estimated and found.amps == 50.0 and found.thickness == 7.0
    assert found.source.startswith("estimated by energy balance from") and "+-" in found.source
    assert found.pierce is PierceRating.LIMIT  # as 1/4 in, the nearest row


def test_beyond_the_rows_is_only_slightly_beyond() -> None:
    rows = [row(2.0, 3400.0), row(3.0, 2200.0)]
    found = estimate(rows, 3.0 * BEYOND, None, "mine")
    assert "beyond the rows" in found.source and found.pierce is PierceRating.LIMIT
    assert found.feed_mm_min < 2200
    with pytest.raises(KerfproofError, match="too far from the rows"):
        estimate(rows, 3.0 * BEYOND + 0.05, None, "mine")
    with pytest.raises(KerfproofError, match="too far"):
        estimate(rows, 2.0 / BEYOND - 0.05, None, "mine")


def test_never_beyond_the_pierce_limit() -> None:
    limited = [row(5.0, 1450.0), row(6.0, 1100.0, pierce=PierceRating.LIMIT)]
    assert pierce_limit(limited, 50.0) == 6.0
    with pytest.raises(KerfproofError, match="beyond what 50 A pierces"):
        estimate(limited, 6.5, None, "mine")
    with pytest.raises(KerfproofError, match="beyond what 50 A pierces"):
        estimate(STEEL_ROWS, 9.0, 50.0, "chart")


def test_one_row_is_enough_for_its_neighbourhood() -> None:
    found = estimate([row(3.0, 2200.0)], 3.3, None, "mine")
    assert found.feed_mm_min == pytest.approx(2000, abs=1)
    assert "+-30%" in found.source
