from __future__ import annotations

import math

import numpy as np
import pytest

from kerfproof.geom.path import Path
from kerfproof.plan.build import prepare
from kerfproof.plan.leads.starts import nearest_place
from support.shop.toolpath_shapes import Sheet, job, machine, process, rounded_rectangle


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize("sharp", [True, False])
def test_outside_corners_are_found_and_inside_ones_and_rounded_ones_are_not(sharp: bool, clockwise: bool) -> None:
    sheet = Sheet()
    sheet.outline(Path.polyline([(0, 0), (80, 0), (80, 30), (30, 30), (30, 90), (0, 90)], closed=True))
    sheet.outline(rounded_rectangle(100, 0, 160, 60, 8))
    table = machine(swirl_clockwise=clockwise)
    setting = prepare(sheet.parts(), sheet.bounds(20), table, process(), job(sharp_corners=sharp))
    corners = setting.sheet.corners()
    assert corners.loop.tolist() == [0] * 5
    h = 1.45 / 2
    found = sorted((round(float(x), 6), round(float(y), 6)) for x, y in corners.starts.at)
    meet = [(-h, -h), (80 + h, -h), (80 + h, 30 + h), (30 + h, 90 + h), (-h, 90 + h)]
    assert found == sorted((round(x, 6), round(y, 6)) for x, y in meet)


def test_the_nearest_place_on_lines_and_bows() -> None:
    path = rounded_rectangle(0, 0, 100, 60, 10)
    assert nearest_place(path, np.array([50.0, -3.0])) == (0, pytest.approx(0.5))
    segment, share = nearest_place(path, np.array([100.0, 0.0]))
    assert (segment, share) == (1, pytest.approx(0.5))
    circle = Path.circle((0, 0), 10)
    for angle in np.linspace(0.1, 6.2, 9):
        place, part = nearest_place(circle, 3 * np.array([math.cos(angle), math.sin(angle)]))
        assert (place + part) * math.pi == pytest.approx(angle)


def test_outlines_begin_so_that_they_end_along_the_bulk_of_the_plate() -> None:
    sheet = Sheet()
    sheet.outline(Path.circle((100, 300), 80))
    sheet.outline(Path.circle((900, 300), 80))
    plate = (0.0, 0.0, 1400.0, 600.0)
    setting = prepare(sheet.parts(), plate, machine(), process(), job())
    places = setting.sheet.dense(np.array([0]), 3.0)
    best = places.starts.at[int(np.argmin(places.cost))]
    # Travelled clockwise, the last fifth before the start lies a tenth of the way round further on the left turn.
    before = math.atan2(best[1] - 300, best[0] - 100) + 2 * math.pi * 0.1
    assert math.cos(before) > 0.95
