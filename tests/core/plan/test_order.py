from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.geom.path import Path
from kerfproof.job.job import Order
from kerfproof.parts.model.part import FeatureKind, Parts
from kerfproof.plan.order.order import CutPlace, order_stops, part_order, provisional_ranks
from support.shop.toolpath_shapes import Sheet, dense_plate, nested_plate


def stops_of(parts: Parts) -> list[CutPlace]:
    out = []
    for f in parts.features:
        if f.kind is not FeatureKind.MARK:
            x0, y0, x1, y1 = f.contour.path.bounds()
            at = ((x0 + x1) / 2, (y0 + y1) / 2) if f.kind is FeatureKind.HOLE else (x1, y0)
            out.append(CutPlace(f.number, at, f.contour.path.length()))
    return out


def ordered(sheet: Sheet, **changes: object) -> list[int]:
    stops = stops_of(sheet.parts())
    sequence = order_stops(stops, sheet.parts(), sheet.bounds(20), **changes)  # type: ignore[arg-type]
    return [stops[i].feature for i in sequence]


def surrounds(sheet: Sheet) -> list[tuple[int, int]]:
    """(inner, outer) for every pair of contours by plain boxes: the shapes here don't interlock."""
    boxes = {f.number: f.contour.path.bounds() for f in sheet.features}
    return [
        (a, b)
        for a, (ax0, ay0, ax1, ay1) in boxes.items()
        for b, (bx0, by0, bx1, by1) in boxes.items()
        if a != b and bx0 < ax0 and by0 < ay0 and ax1 < bx1 and ay1 < by1
    ]


@given(st.integers(0, 10_000), st.sampled_from(list(Order)), st.booleans())
def test_whatever_lies_inside_is_cut_before_what_is_round_it(seed: int, order: Order, spread: bool) -> None:
    sheet = nested_plate(seed)
    found = ordered(sheet, order=order, spread=spread)
    assert sorted(found) == [f.number for f in sheet.features]
    place = {number: k for k, number in enumerate(found)}
    assert [(a, b) for a, b in surrounds(sheet) if place[a] > place[b]] == []


@given(st.integers(0, 10_000))
def test_extra_pairs_are_kept_as_well(seed: int) -> None:
    sheet = nested_plate(seed)
    parts = sheet.parts()
    ranks = provisional_ranks(parts, part_order(parts.parts, sheet.bounds(20)))
    draws = np.random.default_rng(seed)
    numbers = sorted(ranks, key=lambda n: ranks[n])
    picks = draws.integers(0, len(numbers), (5, 2)).tolist()
    before = {(numbers[min(a, b)], numbers[max(a, b)]) for a, b in picks if a != b}
    found = ordered(sheet, before=before)
    place = {number: k for k, number in enumerate(found)}
    assert all(place[a] < place[b] for a, b in [*before, *surrounds(sheet)])


def test_pairs_that_go_round_in_a_circle_are_a_wrong_call() -> None:
    sheet = dense_plate(2, holes=1)
    outline, hole = sheet.features[0], sheet.features[1]
    with pytest.raises(ValueError, match="circle"):
        ordered(sheet, before={(outline.number, hole.number)})


def test_a_hole_that_is_not_cut_still_keeps_its_islands_before_the_outline() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 300, 100))
    hole = sheet.hole(Path.rectangle(20, 20, 80, 80), outline)
    island = sheet.outline(Path.rectangle(35, 35, 65, 65), within=hole)
    parts = sheet.parts()
    stops = [s for s in stops_of(parts) if s.feature != hole.number]
    sequence = order_stops(stops, parts, sheet.bounds(20), before={(island.number, outline.number)})
    assert [stops[i].feature for i in sequence] == [island.number, outline.number]


def test_part_by_part_finishes_each_part_before_the_next() -> None:
    sheet = dense_plate(9)
    part = [sheet.features[n].part for n in ordered(sheet)]
    changes = sum(a != b for a, b in itertools.pairwise(part))
    assert changes == 8


def test_the_tour_of_parts_advances_along_the_longer_side_of_the_plate() -> None:
    sheet = Sheet()
    for column in range(6):
        for row in range(3):
            sheet.outline(Path.rectangle(60 * column, 60 * row, 60 * column + 50, 60 * row + 50))
    order = part_order(sheet.parts().parts, sheet.bounds(10))
    columns = [i // 3 for i in order]
    assert columns == sorted(columns)


def test_spread_out_neighbours_do_not_follow_each_other() -> None:
    sheet = Sheet()
    for column in range(9):
        sheet.outline(Path.rectangle(60 * column, 0, 60 * column + 50, 50))
    near, apart = ordered(sheet), ordered(sheet, spread=True)
    assert min(abs(a - b) for a, b in itertools.pairwise(apart)) >= 3
    assert {abs(a - b) for a, b in itertools.pairwise(near)} == {1}


def test_of_two_loops_of_one_feature_the_longer_comes_last() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 100))
    stops = [CutPlace(outline.number, (0.0, 0.0), 400.0), CutPlace(outline.number, (50.0, 50.0), 60.0)]
    assert order_stops(stops, sheet.parts(), (0, 0, 200, 200)) == [1, 0]


@pytest.mark.parametrize("order", list(Order))
def test_large_windows_come_after_all_small_holes_and_before_the_outline(order: Order) -> None:
    # Common practice, no source: slugs over 100 mm or over a tenth of the part last, before the outline.
    sheet = Sheet()
    part = sheet.outline(Path.rectangle(0, 0, 400, 120))
    windows = {
        sheet.hole(Path.rectangle(20, 20, 130, 26), part).number,
        sheet.hole(Path.rectangle(150, 20, 240, 100), part).number,
    }
    small = {sheet.hole(Path.circle((x, 60), 16), part).number for x in (60.0, 270.0, 380.0)}
    found = ordered(sheet, order=order)
    assert (set(found[:3]), set(found[3:5]), found[5]) == (small, windows, part.number)
