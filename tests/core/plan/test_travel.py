from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPoint

from kerfproof.geom.path import Path
from kerfproof.plan.build import plan_cuts
from kerfproof.plan.order.travel import FreedPiece, Leg, freed_pieces, may_tip, route
from support.referees.referee import flat
from support.shop.toolpath_shapes import job, machine, nested_plate, process

PLATE = (-50.0, -50.0, 350.0, 350.0)


def freed_piece(path: Path, kerf: float) -> FreedPiece:
    (piece,) = freed_pieces([path], [kerf])
    return piece


def test_a_piece_may_tip_when_its_chord_at_45_degrees_tops_the_travel_height() -> None:
    # A 200 mm strip at 45 degrees stands 141 mm high (arithmetic); 35.3 mm stands 25 mm high.
    assert may_tip(200.0, 140.0) and not may_tip(200.0, 142.0)
    assert may_tip(36.0, 25.0) and not may_tip(35.0, 25.0)


def test_the_freed_piece_is_the_hull_half_a_kerf_inside_the_path() -> None:
    piece = freed_piece(Path.rectangle(0, 0, 100, 50), 2.0)
    assert piece.chord == pytest.approx(math.hypot(100, 50))
    assert sorted(round(float(v), 2) for v in piece.limits) == [-1.01, -1.01, 48.99, 98.99]


def test_travel_goes_straight_where_nothing_is_loose_or_in_the_way() -> None:
    piece = freed_piece(Path.rectangle(100, 100, 200, 200), 1.5)
    legs = route([(0, 0), (300, 50)], [(0, 50), (300, 300)], [piece, None], PLATE)
    assert legs == [Leg(), Leg()]
    later = route([(0, 150), (300, 150)], [(0, 150), (300, 150)], [None, piece], PLATE)
    assert later == [Leg(), Leg()]  # cut only after that travel


def test_travel_goes_round_a_loose_piece_by_the_shorter_way() -> None:
    piece = freed_piece(Path.rectangle(100, 100, 200, 200), 1.5)
    legs = route([(0, 120), (300, 120)], [(0, 120), (300, 120)], [piece, None], PLATE)
    assert legs[1].via == ((97.0, 97.0), (203.0, 97.0)) and not legs[1].full_raise


def test_where_there_is_no_way_round_the_torch_is_raised_fully() -> None:
    wall = freed_piece(Path.rectangle(100, -49, 200, 349), 1.5)
    legs = route([(0, 120), (300, 120)], [(0, 120), (300, 120)], [wall, None], PLATE)
    assert legs[1] == Leg(full_raise=True)
    under = route([(0, 120), (150, 120)], [(0, 120), (150, 120)], [wall, None], PLATE)
    assert under[1] == Leg(full_raise=True)


@given(st.integers(0, 10_000))
def test_no_travel_of_a_plan_leads_over_a_loose_piece_that_may_stand_up(seed: int) -> None:
    sheet = nested_plate(seed)
    cuts = plan_cuts(sheet.parts(), sheet.bounds(20), machine(), process(), job()).cuts
    loose: list[object] = []
    here = None
    for cut in cuts:
        if here is not None and not cut.full_raise:
            way = LineString([here, *cut.via, cut.pierce])
            assert [p for p in loose if way.intersection(p).length > 0.05] == []  # type: ignore[attr-defined]
        hull = MultiPoint(flat(cut.contour, 0.05)).convex_hull.buffer(-cut.kerf / 2 - 0.06)
        x, y = hull.exterior.coords.xy
        chord = max(math.dist(p, q) for p in zip(x, y, strict=True) for q in zip(x, y, strict=True))
        if chord * math.sin(math.pi / 4) > 25 + 1.5:
            loose.append(hull)
        here = cut.end


def test_the_hull_keeps_corners_whose_coordinates_differ_by_a_rounding_error() -> None:
    # An upright side whose x differs by 7e-15 from vertex to vertex, as offsets leave it.
    corners = [(71.41142951185310, 85.4), (52.3, 59.5), (71.41142951185309, 33.5), (71.41142951185311, 59.5)]
    piece = freed_piece(Path.polyline(corners, closed=True), 1.45)
    assert piece.chord == pytest.approx(85.4 - 33.5)
    assert piece.box == pytest.approx((52.3, 33.5, 71.4114, 85.4), abs=1e-3)
