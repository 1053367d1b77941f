"""The verbs: what a job becomes, and what it is refused for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof import api
from kerfproof.errors import Cancelled, KerfproofError, Severity
from kerfproof.geom.path import Bundle
from kerfproof.job.job import DrawingUse, Job, Origin, Pin, RoleRule, SmallHoles
from support.shop.shop import built_in, chart, cut, demo, dxf

INCH = "contact-float-inch"


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    space.add_circle((50, 30), 10)


def errors(outcome) -> list[str]:
    return [f.rule for f in outcome.findings if f.severity is Severity.ERROR]


def test_a_plate_is_planned_written_and_proven():
    outcome = cut(dxf(plate))
    assert outcome.ok and outcome.proof.verdict == "PROVEN"
    assert [c.kind for c in outcome.plan.cuts] == ["hole", "outline"]
    assert outcome.proof.edge_deviation < 1e-3


def test_program_zero_is_the_plate_corner_or_the_drawings_own():
    corner = cut(dxf(plate))
    x0, y0, _, _ = corner.parts.parts[0].outline.contour.path.bounds()
    assert corner.plan.plate[:2] == (0, 0) and x0 == y0 > 8
    own = cut(dxf(plate), origin=Origin.DRAWING)
    assert own.parts.parts[0].outline.contour.path.bounds() == (0, 0, 100, 60)
    assert own.plan.plate[0] < 0


def test_inch_drawings_come_out_in_their_true_size():
    outcome = cut(dxf(lambda s: s.add_lwpolyline([(0, 0), (4, 0), (4, 3), (0, 3)], close=True), units=1))
    x0, y0, x1, y1 = outcome.parts.parts[0].outline.contour.path.bounds()
    assert (x1 - x0, y1 - y0) == pytest.approx((101.6, 76.2))


def test_a_drawing_without_a_unit_is_refused_with_its_size_in_each():
    with pytest.raises(KerfproofError, match=r"as mm it is 100.0 x 60.0 mm .*as inches 2540.0 x 1524.0 mm .*--units"):
        cut(dxf(plate, units=0))
    given = cut(dxf(plate, units=0), drawings=(DrawingUse(name="part.dxf", mm_per_unit=1.0),))
    assert given.ok


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda s: None, "nothing|empty"),
        (lambda s: s.add_line((0, 0), (50, 0)), "no closed contour"),
        (lambda s: s.add_text("CUT ME"), "text"),
        (
            lambda s: s.add_circle((0, 0), 20, {"layer": "ETCH"}),
            "there is no outline .* the only contour has the role mark",
        ),
        (lambda s: s.add_lwpolyline([(0, 0), (9000, 0), (9000, 60), (0, 60)], close=True), "travels"),
    ],
)
def test_a_drawing_that_can_not_be_cut_is_refused_in_one_sentence(draw, words):
    with pytest.raises(KerfproofError, match=words) as told:
        cut(dxf(draw))
    assert "\n" not in str(told.value)


def test_a_material_or_thickness_the_chart_lacks_names_the_nearest():
    with pytest.raises(KerfproofError, match="did you mean aluminium"):
        cut(dxf(plate), material="unobtainium")
    with pytest.raises(KerfproofError, match="12"):
        cut(dxf(plate), thickness=40.0)


def test_a_plate_too_small_for_the_parts_is_refused():
    with pytest.raises(KerfproofError, match="the plate is 100 x 60 mm"):
        cut(dxf(plate), plate=(100.0, 60.0))
    assert cut(dxf(plate), plate=(200.0, 150.0)).plan.plate == (0, 0, 200, 150)


def test_what_is_too_small_is_told_so_exactly_that_inches_come_out_round():
    with pytest.raises(KerfproofError) as small:
        cut(dxf(plate), plate=(4 * 25.4, 4 * 25.4))
    assert "the plate is 4 x 4 in" in small.value.told(inches=True)
    with pytest.raises(KerfproofError) as long:
        cut(dxf(lambda s: s.add_lwpolyline([(0, 0), (9000, 0), (9000, 60), (0, 60)], close=True)), built_in(INCH))
    assert "travels 48 x 48 in" in long.value.told(inches=True)


def test_small_holes_are_drilled_or_an_error_by_choice():
    def holed(space) -> None:
        plate(space)
        space.add_circle((20, 20), 2)

    refused = cut(dxf(holed), small_holes=SmallHoles.ERROR)
    assert "hole-too-small" in errors(refused) and not refused.ok
    assert len(refused.plan.cuts) == 2, "the rest is planned all the same"
    drilled = cut(dxf(holed))
    assert drilled.ok and [f.diameter for f in drilled.left_out] == [pytest.approx(4)]
    assert "left-out" in drilled.program.text


def test_crossing_contours_are_an_error_with_the_place():
    def crossed(space) -> None:
        plate(space)
        space.add_lwpolyline([(150, 0), (200, 50), (200, 0), (150, 50)], close=True)

    outcome = cut(dxf(crossed))
    assert errors(outcome)[0] == "self-crossing"
    crossing = next(f for f in outcome.findings if f.rule == "self-crossing")
    assert (crossing.x, crossing.y) == pytest.approx((175, 25))


def test_copies_and_several_drawings_lie_side_by_side_and_are_all_proven():
    uses = (DrawingUse(name="a.dxf", count=2), DrawingUse(name="b.dxf", turn_deg=90.0))
    job = Job(drawings=uses, machine="m", chart="air-50a", material="mild steel", thickness=3.0)
    outcome = api.plan(job, {"a.dxf": dxf(plate), "b.dxf": dxf(plate)}, api.Shop(built_in(), chart()))
    assert outcome.ok and len(outcome.parts.parts) == 3
    assert [p.name for p in outcome.parts.parts] == ["a copy 1", "a copy 2", "b"]
    assert [f.number for f in outcome.parts.features] == list(range(6))
    boxes = np.array([p.outline.contour.path.bounds() for p in outcome.parts.parts])
    assert (boxes[1:, 0] > boxes[:-1, 2] + 5).all() or (boxes[1:, 1] > boxes[:-1, 1]).any()


def test_a_pinned_start_is_where_the_person_put_it_also_when_turned():
    for turn in (0.0, 90.0):
        use = DrawingUse(name="part.dxf", turn_deg=turn)
        pin = Pin(drawing="part.dxf", x=30.0, y=60.0)
        outcome = cut(dxf(plate), drawings=(use,), pins=(pin,))
        assert outcome.ok
        (outline,) = [c for c in outcome.plan.cuts if c.kind == "outline"]
        box = outcome.parts.parts[0].outline.contour.path.bounds()
        start = outline.contour.start - np.array(box[:2])
        kerf = outcome.process.kerf
        expected = (30.0, 60.0 + kerf / 2) if turn == 0 else (-kerf / 2, 30.0)
        assert start == pytest.approx(expected, abs=0.01)


def test_a_pin_that_fits_nothing_is_told_and_the_usual_start_taken():
    outcome = cut(dxf(plate), pins=(Pin(drawing="part.dxf", x=500.0, y=500.0),))
    assert outcome.ok and "pinned-start-lost" in [f.rule for f in outcome.findings]


def test_a_layer_rule_makes_slits_and_they_are_cut_on_their_line():
    def slotted(space) -> None:
        plate(space)
        space.add_line((15, 15), (35, 15), dxfattribs={"layer": "SLOTS"})

    outcome = cut(dxf(slotted), roles=(RoleRule(layer="slots", role="slit"),))
    slits = [c for c in outcome.plan.cuts if c.kind == "slit"]
    assert len(slits) == 1
    assert not [f for f in outcome.findings if f.severity is Severity.ERROR]
    left = cut(dxf(slotted))
    assert not [c for c in left.plan.cuts if c.kind == "slit"]
    assert "open-chain" in [f.rule for f in left.findings]


def test_an_islands_outline_is_cut_before_its_hole_and_that_before_the_ring():
    def rings(space) -> None:
        for radius in (80, 60, 30):
            space.add_circle((0, 0), radius)

    outcome = cut(dxf(rings))
    assert outcome.ok
    radii = [Bundle.of([c.contour]).segments().radius.max() for c in outcome.plan.cuts]
    assert radii == sorted(radii)


def test_a_thick_plate_that_may_not_be_pierced_is_refused_with_the_reason():
    outcome = cut(dxf(plate), thickness=10.0)
    assert "pierce-too-thick" in errors(outcome)


def test_the_person_can_stop_the_work_at_any_stage():
    seen: list[str] = []

    def stop_at(stage: str):
        def watch(name: str, share: float) -> None:
            seen.append(name)
            if name == stage:
                raise Cancelled("stopped")

        return watch

    job = Job(drawings=(DrawingUse(name="p.dxf"),), machine="m", chart="c", material="mild steel", thickness=3.0)
    shop = api.Shop(built_in(), chart())
    api.plan(job, {"p.dxf": demo("sluice-sheet")}, shop, watch=lambda name, share: seen.append(name))
    for stage in sorted(set(seen)):
        with pytest.raises(Cancelled):
            api.plan(job, {"p.dxf": demo("sluice-sheet")}, shop, watch=stop_at(stage))


def test_an_estimated_chart_row_is_said():
    outcome = cut(dxf(plate), thickness=3.5)
    assert "process-estimated" in [f.rule for f in outcome.findings]


def test_inspecting_needs_no_shop_and_keeps_the_drawings_place():
    found = api.inspect(dxf(plate), "part.dxf")
    assert found.parts.parts[0].outline.contour.path.bounds() == (0, 0, 100, 60)


def test_a_kerf_of_ones_own_moves_the_path():
    narrow, wide = cut(dxf(plate), kerf=1.0), cut(dxf(plate), kerf=2.0)
    assert narrow.ok and wide.ok
    assert narrow.plan.cuts[0].contour.length() - wide.plan.cuts[0].contour.length() == pytest.approx(np.pi, abs=1e-3)


def test_machine_warnings_reach_the_outcome():
    outcome = cut(dxf(plate), replace(built_in(), light_delay_s=0.05))
    assert any(f.rule.startswith("machine-") for f in outcome.findings)
