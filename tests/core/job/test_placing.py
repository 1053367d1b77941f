from __future__ import annotations

import math

from kerfproof import api
from kerfproof.job.job import DrawingUse, Turn
from kerfproof_app.work.job_edits import turns_of
from support.shop import shop


def test_a_place_on_a_turned_mirrored_copy_comes_back_to_its_drawing():
    use = DrawingUse(name="gusset.dxf", count=2, turn_deg=30.0, mirror=True)
    outcome = shop.cut(shop.demo("gusset"), drawings=(use,))
    flat = shop.cut(shop.demo("gusset"), drawings=(DrawingUse(name="gusset.dxf"),))
    for copy in outcome.copies:
        for k in range(copy.count):
            feature = next(f for f in outcome.parts.features if f.number == copy.first + k)
            drawn = next(f for f in flat.parts.features if f.number == k)
            place = api.in_drawing(outcome.job, outcome.copies, feature.number, tuple(feature.contour.path.start))
            points = drawn.contour.path.vertices[:, :2] - flat.shift
            assert min(math.dist((place.x, place.y), p) for p in points) < 1e-5
            assert place.copy_number == copy.number


def test_an_order_by_hand_is_kept_and_a_lost_place_is_told():
    outcome = shop.cut(shop.demo("gusset"), name="gusset.dxf")
    wanted = [c.feature for c in outcome.plan.cuts][-2::-1]
    turns = turns_of(outcome, wanted)
    again = shop.cut(shop.demo("gusset"), name="gusset.dxf", sequence=turns)
    assert [c.feature for c in again.plan.cuts][:-1] == wanted
    assert again.proof.ok
    lost = shop.cut(shop.demo("gusset"), name="gusset.dxf", sequence=(*turns, Turn(drawing="gusset.dxf", x=1e4, y=0)))
    assert [c.feature for c in lost.plan.cuts][:-1] == wanted
    assert "order-by-hand-lost" in {f.rule for f in lost.findings}


def test_an_order_that_breaks_inside_before_outside_is_cut_in_the_safe_one_and_the_reason_is_told():
    outcome = shop.cut(shop.demo("gusset"), name="gusset.dxf")
    outline = outcome.parts.parts[0].outline.number
    wanted = [outline, *(f.number for f in outcome.parts.parts[0].holes)]
    assert "lies inside outline" in api.order_refusal(outcome, wanted)
    again = shop.cut(shop.demo("gusset"), name="gusset.dxf", sequence=turns_of(outcome, wanted))
    assert again.plan.cuts[-1].feature == outline
    assert again.proof.ok
