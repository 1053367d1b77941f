from __future__ import annotations

import math

import numpy as np
import pytest

from kerfproof.geom.path import Bundle, Path
from kerfproof.job.job import SmallHoles
from kerfproof.plan.holes import is_slow, measure, slow_feed, small_hole_finding
from support.shop.toolpath_shapes import Sheet, process, slot


def test_area_length_and_width_of_known_shapes() -> None:
    sizes = measure(Bundle.of([Path.circle((9, 9), 5), Path.rectangle(0, 0, 12, 12).reversed(), slot(0, 0, 40, 20)]))
    stadium = 40 * 20 + math.pi * 100
    assert sizes.area == pytest.approx([25 * math.pi, -144, stadium])
    assert sizes.length == pytest.approx([10 * math.pi, 48, 80 + 20 * math.pi])
    assert sizes.width == pytest.approx([10, 12, 4 * stadium / (80 + 20 * math.pi)])


@pytest.mark.parametrize(("thickness", "slow"), [(1.0, 14.9), (3.0, 14.9), (6.0, 23.9)])
def test_holes_under_15_mm_or_four_thicknesses_are_slowed(thickness: float, slow: float) -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 100))
    hole = sheet.hole(Path.circle((50, 50), slow / 2), outline)
    assert is_slow(hole, slow, process(thickness=thickness))
    assert not is_slow(hole, slow + 0.1, process(thickness=thickness))
    assert not is_slow(outline, slow, process(thickness=thickness))


def test_a_sliver_is_refused_by_its_width_a_round_hole_by_its_diameter() -> None:
    sheet, p = Sheet(), process(thickness=3.0)
    outline = sheet.outline(Path.rectangle(0, 0, 100, 100))
    for path, words in ((Path.circle((50, 50), 1), "is under"), (slot(50, 50, 40, 1), "is 1 mm wide, under")):
        found = small_hole_finding(sheet.hole(path, outline), 1.0, p, SmallHoles.ERROR)
        assert found is not None and f" {words} {p.min_hole:g} mm, the smallest hole for 3 mm plate" in found.message


def test_the_feed_of_a_slow_hole_is_a_share_of_the_chart_or_what_its_circle_allows() -> None:
    p = process(feed_mm_min=2200.0, kerf=1.6)
    # 0.7 sqrt(400 x 2.2) = 20.77 mm/s = 1246 mm/min for a 6 mm hole.
    assert slow_feed(6.0, 1.6, p, 400.0) == pytest.approx(1246, abs=1)
    assert slow_feed(14.0, 1.6, p, 4000.0) == pytest.approx(0.6 * 2200)
    assert np.isfinite(slow_feed(1.0, 1.6, p, 400.0))
