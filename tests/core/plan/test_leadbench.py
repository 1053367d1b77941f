from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kerfproof import api
from kerfproof.geom.path import Path
from kerfproof.job.job import Pin
from kerfproof.plan.build import prepare
from kerfproof.plan.lead_bench import LeadBench
from support.shop import shop
from support.shop.toolpath_shapes import Sheet, job, machine, plate_with_hole, process


def gusset(**changes):
    return shop.cut(shop.demo("gusset"), name="gusset.dxf", **changes)


def outline_of(outcome):
    return next(cut for cut in outcome.plan.cuts if cut.kind == "outline")


def tried_on(sheet, feature, point, shape, size=None):
    setting = prepare(sheet.parts(), sheet.bounds(20.0), machine(), process(), job())
    return LeadBench(setting, machine(), process(), job()).judge(feature, point, shape, size)


def test_a_single_lead_is_judged_with_its_reasons():
    sheet = plate_with_hole()  # outline 20..120 x 20..80, plate 0..140 x 0..100
    good = tried_on(sheet, 0, (70.0, 80.0), "arc")
    assert good.fits and good.reasons == () and good.must_precede == ()
    assert good.path.end.tolist() == pytest.approx([70.0, 80.725])
    small = tried_on(sheet, 0, (70.0, 80.0), "arc", 2.0)
    assert small.reasons == ("the pierce crater would reach a kept edge",)
    far = tried_on(sheet, 0, (70.0, 80.0), "arc", 18.0)
    assert far.reasons == ("the pierce is too near the edge of the plate",)
    wide = tried_on(sheet, 1, (80.0, 50.0), "straight", 24.0)
    assert "the kerf of the lead would touch metal you keep" in wide.reasons


def test_a_lead_across_another_cut_is_refused_and_one_beside_it_must_come_first():
    sheet = Sheet()
    sheet.outline(Path.rectangle(0, 0, 50, 50))
    sheet.outline(Path.rectangle(60, 0, 110, 50))
    beside = tried_on(sheet, 0, (50.0, 25.0), "arc", 3.5)
    assert beside.must_precede == (1,)
    across = tried_on(sheet, 0, (50.0, 25.0), "arc", 8.5)
    assert "the kerf of the lead would cross another cut" in across.reasons


def test_shapes_for_corners_take_the_nearest_corner():
    tried = tried_on(plate_with_hole(), 0, (118.0, 75.0), "extension")
    assert tried.path.end.tolist() == pytest.approx([120.725, 80.725])


def test_a_lead_judged_where_the_plan_put_it_is_the_plan_s_lead():
    outcome = gusset()
    bench = api.lead_bench(outcome)
    for cut in outcome.plan.cuts:
        tried = bench.judge(cut.feature, tuple(cut.contour.start), cut.lead_shape)
        assert tried.fits, cut.label
        assert math.dist(tried.pierce, cut.pierce) < 1e-6, cut.label


def test_what_the_bench_calls_fitting_the_planner_takes_as_a_pin_and_it_is_proven():
    outcome = gusset()
    bench = api.lead_bench(outcome)
    feature = outline_of(outcome).feature
    for snap in bench.snaps(feature):
        tried = bench.judge(feature, snap.at)
        if not tried.fits:
            continue
        place = api.in_drawing(outcome.job, outcome.copies, feature, tried.pinned)
        pin = Pin(drawing="gusset.dxf", x=place.x, y=place.y, shape=tried.shape)
        again = gusset(pins=(pin,))
        assert math.dist(outline_of(again).pierce, tried.pierce) < 1e-3, snap
        assert again.proof.ok


def test_a_pinned_size_is_taken_if_it_fits():
    outcome = gusset()
    cut = outline_of(outcome)
    x, y = (v - s for v, s in zip(cut.contour.start, outcome.shift, strict=True))
    for size in (2.6, 3.2):
        pin = Pin(drawing="gusset.dxf", x=float(x), y=float(y) + 0.7, shape="arc", size=size)
        again = outline_of(gusset(pins=(pin,)))
        assert abs(again.lead_in.segments().radius[0] - size) < 1e-6


def test_a_contour_pinned_the_other_way_round_is_cut_so_and_proven():
    outcome = gusset()
    cut = outline_of(outcome)
    x, y = (v - s for v, s in zip(cut.contour.start, outcome.shift, strict=True))
    again = gusset(pins=(Pin(drawing="gusset.dxf", x=float(x), y=float(y) + 0.7, reverse=True),))
    assert cut.contour.opened().area() * outline_of(again).contour.opened().area() < 0
    assert again.proof.ok
    assert "cut-other-way-round" in {f.rule for f in again.findings}


def test_snaps_are_outside_corners_and_middles_of_straights():
    def draw(space):
        space.add_lwpolyline([(0, 0), (80, 0), (80, 50), (0, 50)], close=True)

    outcome = shop.cut(shop.dxf(draw))
    snaps = api.lead_bench(outcome).snaps(outcome.plan.cuts[0].feature)
    assert sorted(s.kind for s in snaps) == ["corner"] * 4 + ["middle"] * 4


def test_a_shape_that_does_not_suit_is_a_wrong_call():
    outcome = gusset()
    bench = api.lead_bench(outcome)
    hole = next(cut for cut in outcome.plan.cuts if cut.kind == "hole")
    with pytest.raises(ValueError, match="extension"):
        bench.judge(hole.feature, hole.pierce, "extension")
    with pytest.raises(ValueError, match="can be moved"):
        bench.judge(99, (0.0, 0.0))


def two_plates(**changes):
    """Two plates side by side with so much between them that one lead has room there, but not two that meet."""

    def draw(space):
        space.add_lwpolyline([(0, 0), (80, 0), (80, 60), (0, 60)], close=True)
        space.add_lwpolyline([(92, 0), (172, 0), (172, 60), (92, 60)], close=True)

    return shop.cut(shop.dxf(draw), **changes)


def test_a_lead_that_meets_one_placed_by_hand_does_not_fit_and_pushes_one_that_nobody_placed():
    free = two_plates()
    left, right = (part.outline for part in free.parts.parts)
    bench = api.lead_bench(free)
    facing = free.parts.parts[1].outline.contour.path.bounds()[0]
    there = bench.judge(right.number, (facing, free.shift[1] + 30.0), "straight")
    assert there.fits
    place = api.in_drawing(free.job, free.copies, right.number, there.pinned)
    pinned = two_plates(pins=(Pin(drawing=place.drawing, x=place.x, y=place.y, shape="straight"),))
    moved = next(cut for cut in pinned.plan.cuts if cut.feature == right.number)
    assert math.dist(moved.pierce, there.pierce) < 1e-6
    edge = left.contour.path.bounds()[2]
    facing_it = (edge, moved.pierce[1] - 7.5)
    tried = api.lead_bench(pinned).judge(left.number, facing_it, "straight")
    assert not tried.fits
    assert (tried.word, tried.push) == ("meets another lead", ())
    away = api.lead_bench(pinned).judge(left.number, (edge, free.shift[1] + 52.0), "straight")
    assert away.fits
    assert away.push == ()
    unpinned = replace(pinned, pinned=())
    tried = api.lead_bench(unpinned).judge(left.number, facing_it, "straight")
    assert tried.fits
    assert tried.word == "tight"
    assert tried.push == (right.number,)


def test_what_is_said_to_give_way_gives_way_when_the_lead_is_dropped_there():
    free = two_plates()
    left, right = (part.outline.number for part in free.parts.parts)
    bench = api.lead_bench(free)
    before = next(cut for cut in free.plan.cuts if cut.feature == right)
    tried = bench.judge(left, before.pierce)
    place = api.in_drawing(free.job, free.copies, left, tried.pinned)
    again = two_plates(pins=(Pin(drawing=place.drawing, x=place.x, y=place.y, shape=tried.shape),))
    after = next(cut for cut in again.plan.cuts if cut.feature == right)
    assert (math.dist(after.pierce, before.pierce) > 1.0) == (right in tried.push)
    assert again.proof.ok
