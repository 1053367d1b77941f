from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
from shapely import Point as Spot
from shapely import box, unary_union

from kerfproof.cut_plan import Cut
from kerfproof.errors import KerfproofError, Severity
from kerfproof.geom.path import Path
from kerfproof.job.job import LeadChoice, Order, Pin
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.build import Planned, plan_cuts
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.shop.profile import StartKind
from support.referees.referee import direction_at_end, direction_at_start, flat, kept, line, swept
from support.shop.toolpath_shapes import (
    Sheet,
    dense_plate,
    job,
    machine,
    plate_with_hole,
    process,
    rounded_rectangle,
    slot,
)

K = 1.45
CRATER = 2.5  # max(1.5 k, 1 + 0.5 t) for 3 mm


def planned(sheet: Sheet, margin: float = 20.0, pins: dict[int, Pin] | None = None, **changes: object) -> Planned:
    chosen = {k: v for k, v in changes.items() if k in ("small_holes", "leads", "order", "spread", "sharp_corners")}
    set_up = {k: v for k, v in changes.items() if k in ("swirl_clockwise", "travel_height", "tip_face_radius", "start")}
    values = {k: v for k, v in changes.items() if k not in chosen and k not in set_up}
    return plan_cuts(
        sheet.parts(), sheet.bounds(margin), machine(**set_up), process(**values), job(**chosen), pins or {}
    )


def metal_of(sheet: Sheet) -> object:
    out = []
    for part in sheet.parts().parts:
        out.append(kept(part.outline.contour.path, [h.contour.path for h in part.holes]))
    return unary_union(out)


def torch_path(cut: Cut) -> np.ndarray:
    return np.vstack([flat(piece) for piece in cut.pieces])


def judge_by_own_ruler(sheet: Sheet, plan: Planned, plate: tuple[float, float, float, float], face: float) -> None:
    """Every lead and lead-out keeps off the metal, every pierce has sound plate, nothing crosses an open kerf."""
    metal, table = metal_of(sheet), box(*plate)
    burnt: list[object] = []
    for cut in plan.cuts:
        if cut.kind == "slit":
            continue
        assert metal.distance(Spot(cut.pierce)) >= CRATER + 0.5 - 0.003  # type: ignore[attr-defined]
        assert table.exterior.distance(Spot(cut.pierce)) >= CRATER + 3 - 0.003
        worn = swept(cut.contour, 1.25 * K + 0.02)
        for piece in (cut.lead_in, cut.lead_out):
            if piece is None:
                continue
            assert swept(piece, K - 0.02).intersection(metal).area < 1e-6
            assert swept(piece, 1.25 * K - 0.02).difference(worn).intersection(metal).area < 1e-4
            assert table.contains(swept(piece, K))
            for earlier in burnt:
                assert swept(piece, K).distance(earlier) > 0  # type: ignore[arg-type]
        for earlier in burnt:
            assert Spot(cut.pierce).distance(earlier) >= face - 0.02  # type: ignore[arg-type]
        burnt.append(swept(cut.contour, K).union(unary_union([swept(p, K) for p in cut.pieces])))


def test_the_known_plate_is_cut_hole_first_and_with_the_known_feeds() -> None:
    plan = planned(plate_with_hole())
    assert plan.findings == () and plan.left_out == ()
    assert [cut.kind for cut in plan.cuts] == ["hole", "outline"]
    assert [cut.lead_shape for cut in plan.cuts] == ["from_center", "extension"]
    assert [cut.feed_mm_min for cut in plan.cuts] == [2200.0, 2200.0]
    assert [cut.part for cut in plan.cuts] == ["part-1", "part-1"]


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize("gap", [6.0, 9.0, 14.0])
def test_leads_of_a_plate_full_of_parts_pass_an_own_ruler(gap: float, clockwise: bool) -> None:
    sheet = dense_plate(6, seed=int(gap), gap=gap)
    plan = planned(sheet, swirl_clockwise=clockwise)
    assert plan.findings == ()
    assert sorted(cut.feature for cut in plan.cuts) == list(range(len(sheet.features)))
    judge_by_own_ruler(sheet, plan, sheet.bounds(20), 6.0)


def test_torch_paths_hang_together_and_contours_come_back_to_their_start() -> None:
    for cut in planned(dense_plate(4)).cuts:
        assert cut.lead_in is not None
        assert cut.lead_in.start.tolist() == list(cut.pierce)
        assert cut.contour.start.tolist() == cut.contour.end.tolist()
        for a, b in zip(cut.pieces, cut.pieces[1:], strict=False):
            assert np.abs(a.end - b.start).max() < 1e-6
            if cut.lead_shape != "straight":
                assert float(direction_at_end(a) @ direction_at_start(b)) > 1 - 1e-4 or a is cut.contour


def test_the_contour_is_the_whole_kerf_path_wherever_it_begins() -> None:
    sheet = Sheet()
    sheet.hole(Path.circle((50, 50), 20), sheet.outline(rounded_rectangle(0, 0, 100, 100, 10)))
    hole, outline = planned(sheet).cuts
    assert hole.contour.length() == pytest.approx(2 * math.pi * (20 - K / 2), abs=1e-9)
    assert outline.contour.length() == pytest.approx(4 * 80 + 2 * math.pi * (10 + K / 2), abs=1e-9)


def test_an_outline_begun_at_a_corner_leaves_on_the_extension_of_its_last_edge() -> None:
    cut = planned(plate_with_hole()).cuts[-1]
    assert cut.over_burn is None and cut.lead_in is not None and cut.lead_out is not None
    assert direction_at_end(cut.lead_in) == pytest.approx(direction_at_start(cut.contour))
    assert direction_at_end(cut.contour) == pytest.approx(direction_at_start(cut.lead_out))
    # Over-burn max(1, 0.25 t) and lead-out max(2, 0.5 t) in one.
    assert cut.lead_out.length() == pytest.approx(1.0 + 2.0)
    corner = Path.rectangle(20, 20, 120, 80).vertices[:, :2]
    # The corner itself stays: half a kerf away from both edges' lines, so more from the corner.
    assert min(line(p).distance(Spot(c)) for p in cut.pieces for c in corner) >= K / 2 - 0.003


@pytest.mark.parametrize(("thickness", "burn", "out"), [(3.0, 1.0, 2.0), (8.0, 2.0, 4.0)])
def test_a_round_outline_runs_over_its_start_and_leaves_on_an_arc(thickness: float, burn: float, out: float) -> None:
    sheet = Sheet()
    sheet.outline(Path.circle((100, 100), 50))
    cut = planned(sheet, margin=40, thickness=thickness).cuts[0]
    assert cut.over_burn is not None and cut.lead_out is not None
    assert cut.over_burn.length() == pytest.approx(burn)
    assert cut.lead_out.length() == pytest.approx(out)
    assert direction_at_end(cut.over_burn) == pytest.approx(direction_at_start(cut.lead_out), abs=1e-3)
    assert math.dist(cut.end, (100, 100)) > 50 + K / 2


def test_a_hole_runs_over_its_start_and_has_no_lead_out() -> None:
    cut = planned(plate_with_hole(), thickness=8.0, min_hole=6.0).cuts[0]
    assert cut.kind == "hole" and cut.lead_out is None and cut.over_burn is not None
    assert cut.over_burn.length() == pytest.approx(1.6)  # max(1, 0.2 t)
    assert line(cut.contour).distance(Spot(cut.end)) < 0.003


def test_the_person_may_set_over_burn_and_lead_out() -> None:
    sheet = Sheet()
    sheet.outline(Path.circle((100, 100), 50))
    cut = planned(sheet, leads=LeadChoice(over_burn_outline=4.0, lead_out=0.0, shape="straight")).cuts[0]
    assert cut.over_burn is not None and cut.over_burn.length() == pytest.approx(4.0)
    assert cut.lead_out is None and cut.lead_shape == "straight"


def test_a_lead_out_without_room_is_left_out_and_the_over_burn_stays() -> None:
    sheet = Sheet()
    sheet.outline(Path.circle((50, 50), 30))
    short = planned(sheet, margin=12.0, leads=LeadChoice(lead_out=400.0))
    cut = short.cuts[0]
    assert cut.over_burn is not None and cut.over_burn.length() == pytest.approx(1.0)
    assert cut.lead_out is None or cut.lead_out.length() < 10


def test_a_six_mm_hole_at_400_mm_s2_is_cut_no_faster_than_its_circle_allows() -> None:
    sheet = Sheet()
    sheet.hole(Path.circle((50, 50), 3.0), sheet.outline(Path.rectangle(0, 0, 100, 100)))
    cut = planned(sheet).cuts[0]
    # 0.7 sqrt(a r) with a = 400 mm/s2 and r = 3 - 0.725: 1267 mm/min; 1250 for r = 2.2 (arithmetic).
    assert cut.feed_mm_min == pytest.approx(0.7 * math.sqrt(400 * 2.275) * 60)
    assert cut.feed_mm_min < 0.6 * 2200 < 2200
    slower = planned(sheet, feed_mm_min=1500.0).cuts[0]
    assert slower.feed_mm_min == pytest.approx(900.0)


# Smallest holes max(1.5 t, 4 k, 2 (Rc + 0.5)) with k = 0.85 + 0.011 A + 0.05 t: common practice, computed.
@pytest.mark.parametrize(
    ("thickness", "amps", "smallest"), [(1.0, 25.0, 4.7), (3.0, 40.0, 6.0), (6.0, 50.0, 9.0), (8.0, 50.0, 12.0)]
)
def test_the_smallest_hole_of_each_thickness_gets_its_lead_from_the_very_centre(
    thickness: float, amps: float, smallest: float
) -> None:
    kerf = 0.85 + 0.011 * amps + 0.05 * thickness
    p: Process = process(thickness=thickness, kerf=kerf, min_hole=smallest, lead_radius=max(3, 2 + thickness / 2))
    assert max(1.5 * thickness, 4 * kerf, 2 * (p.crater_radius + 0.5)) == pytest.approx(smallest, abs=0.05)
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 100))
    sheet.hole(Path.circle((50, 50), smallest / 2), outline)
    sheet.hole(Path.circle((80, 50), smallest / 2 - 0.1), outline)
    plan = plan_cuts(sheet.parts(), sheet.bounds(30), machine(), p, job())
    assert [f.rule for f in plan.findings] == ["hole-to-drill"]
    hole = plan.cuts[0]
    assert hole.lead_shape == "from_center"
    assert math.dist(hole.pierce, (50, 50)) < 1e-6


def test_slots_are_begun_on_their_center_line() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 200, 100))
    sheet.hole(slot(30, 30, 60, 7.0), outline)
    narrow = sheet.hole(slot(30, 70, 60, 5.0), outline)
    plan = planned(sheet)
    assert plan.findings == ()
    pierces = {cut.feature: cut.pierce for cut in plan.cuts}
    assert metal_of(sheet).distance(Spot(pierces[narrow.number])) == pytest.approx(2.5, abs=0.01)  # type: ignore[attr-defined]
    assert pierces[narrow.number][1] == pytest.approx(70, abs=0.01)
    assert all(cut.lead_shape == "arc" for cut in plan.cuts if cut.feature == narrow.number)


def test_a_hole_that_a_slit_runs_across_is_told_of_the_slit_and_not_to_be_made_wider() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 200, 100))
    sheet.hole(Path.circle((50, 50), 4.0), outline)
    sheet.line(FeatureKind.SLIT, Path.polyline([(30, 50), (58, 50)]), outline)
    (told,) = (f for f in planned(sheet).findings if f.rule == "no-room-for-lead")
    assert told.message == "no lead fits hole 1: every pierce would rest on the cut of a slit"
    assert told.advice == "keep other cuts 7 mm off its middle, or put them on an ignored layer"


def test_leads_shrink_before_they_are_given_up() -> None:
    sheet = Sheet()
    sheet.hole(Path.rectangle(20, 20, 120, 27), sheet.outline(Path.rectangle(0, 0, 140, 60)))
    cut = planned(sheet).cuts[0]
    assert cut.lead_in is not None
    assert cut.lead_in.length() < math.pi * 3.5 * 0.6


def test_a_ring_too_narrow_for_any_lead_has_no_cut_and_an_error_and_the_rest_goes_on() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 200, 200))
    hole = sheet.hole(Path.circle((100, 100), 60), outline)
    island = sheet.outline(Path.circle((100, 100), 57), within=hole)
    plan = planned(sheet)
    assert {f.rule for f in plan.findings} == {"no-room-for-lead"}
    assert {cut.feature for cut in plan.cuts} == {outline.number}
    assert island.number not in plan.left_out


def test_an_island_is_clockwise_and_comes_before_the_hole_that_holds_it() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 240, 240))
    hole = sheet.hole(Path.rectangle(40, 40, 200, 200), outline)
    island = sheet.outline(Path.rectangle(80, 80, 160, 160), within=hole)
    inner = sheet.hole(Path.circle((120, 120), 15), island)
    plan = planned(sheet)
    assert [cut.feature for cut in plan.cuts] == [inner.number, island.number, hole.number, outline.number]
    turning = [math.copysign(1, cut.contour.area()) for cut in plan.cuts]
    assert turning == [1, -1, 1, -1]
    judge_by_own_ruler(sheet, plan, sheet.bounds(20), 6.0)


def test_a_pinned_start_is_taken_and_one_without_room_is_said() -> None:
    sheet = plate_with_hole()
    pin = Pin(drawing="part.dxf", x=70.0, y=80.0, shape="straight")
    cut = planned(sheet, pins={0: pin}).cuts[-1]
    assert cut.contour.start.tolist() == pytest.approx([70.0, 80 + K / 2])
    assert cut.lead_shape == "straight"
    corner = Pin(drawing="part.dxf", x=20.0, y=80.0)
    begun = planned(sheet, pins={0: corner}).cuts[-1]
    assert begun.lead_shape == "extension"
    assert begun.contour.start.tolist() == pytest.approx([20 - K / 2, 80 + K / 2])
    two = Sheet()
    two.outline(Path.rectangle(0, 0, 50, 50))
    two.outline(Path.rectangle(54, 0, 104, 50))
    plan = planned(two, pins={0: Pin(drawing="part.dxf", x=50.0, y=25.0)})
    assert [(f.rule, f.severity) for f in plan.findings] == [("pinned-start-without-room", Severity.WARNING)]
    assert len(plan.cuts) == 2


def test_an_unknown_lead_shape_is_refused_with_the_names() -> None:
    with pytest.raises(KerfproofError, match=r"spiral.*extension"):
        planned(plate_with_hole(), leads=LeadChoice(shape="spiral"))


@pytest.mark.parametrize(
    ("rating", "rule", "severity"),
    [
        (PierceRating.NO, "pierce-too-thick", Severity.ERROR),
    ],
)
def test_plate_that_can_hardly_be_pierced_is_named(rating: PierceRating, rule: str, severity: Severity) -> None:
    plan = planned(plate_with_hole(), pierce=rating)
    assert [(f.rule, f.severity) for f in plan.findings] == [(rule, severity)]


def test_a_cut_that_leaves_the_plate_is_an_error() -> None:
    plan = planned(plate_with_hole(), margin=0.5)
    assert "cut-off-plate" in {f.rule for f in plan.findings if f.severity is Severity.ERROR}


def test_a_slit_is_cut_on_its_line_and_its_mark_is_said() -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 60))
    slit = sheet.line(FeatureKind.SLIT, Path.polyline([(20, 30), (80, 30)]), outline)
    plan = planned(sheet)
    assert [cut.feature for cut in plan.cuts] == [slit.number, outline.number]
    assert plan.cuts[0].lead_in is None and plan.cuts[0].contour.length() == pytest.approx(60)
    assert [(f.rule, f.severity) for f in plan.findings] == [("slit-pierce-marks", Severity.WARNING)]


@pytest.mark.parametrize("end", [(20.0, 30.0), (80.0, 30.0)])
def test_a_slit_begins_at_the_end_that_is_pinned(end: tuple[float, float]) -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 60))
    slit = sheet.line(FeatureKind.SLIT, Path.polyline([(20, 30), (80, 30)]), outline)
    plan = planned(sheet, pins={slit.number: Pin(drawing="", x=end[0], y=end[1])})
    assert plan.cuts[0].pierce == end and plan.cuts[0].contour.start.tolist() == list(end)


@pytest.mark.parametrize(
    ("start", "severity"), [(StartKind.CONTACT, Severity.ERROR), (StartKind.PILOT, Severity.WARNING)]
)
def test_a_slit_open_to_the_edge_is_pierced_in_the_scrap_and_its_crossing_is_named(
    start: StartKind, severity: Severity
) -> None:
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(0, 0, 100, 60))
    sheet.line(FeatureKind.SLIT, Path.polyline([(50, 30), (100, 30)]), outline)
    plan = planned(sheet, start=start)
    cut = plan.cuts[0]
    assert cut.lead_in is not None and cut.pierce[0] >= 100 + CRATER + 0.5
    assert cut.contour.start.tolist() == [100.0, 30.0]
    assert [(f.rule, f.severity) for f in plan.findings] == [("slit-meets-edge", severity)]


def test_where_parts_stand_close_a_pierce_may_rest_on_metal_that_a_later_cut_takes() -> None:
    sheet = Sheet()
    for k in range(9):
        x, y = 60.0 * (k % 3), 60.0 * (k // 3)
        sheet.outline(Path.circle((x, y), 27.0))
    plan = planned(sheet, margin=10.0, tip_face_radius=11.0)
    assert plan.findings == () and len(plan.cuts) == 9
    judge_by_own_ruler(sheet, plan, sheet.bounds(10), 11.0)


def test_holes_first_puts_every_hole_before_every_outline() -> None:
    kinds = [cut.kind for cut in planned(dense_plate(4), order=Order.HOLES_FIRST).cuts]
    assert kinds == ["hole"] * 32 + ["outline"] * 4
    by_part = [cut.kind for cut in planned(dense_plate(4)).cuts]
    assert by_part == (["hole"] * 8 + ["outline"]) * 4


def test_the_same_plate_gives_the_same_cuts_and_moving_it_moves_them() -> None:
    sheet = dense_plate(6, seed=3)
    first, again = planned(sheet), planned(sheet)
    assert [c.contour.vertices.tobytes() for c in first.cuts] == [c.contour.vertices.tobytes() for c in again.cuts]
    x0, y0, x1, y1 = sheet.bounds(20)
    moved = plan_cuts(
        sheet.parts().moved(100.0, 50.0), (x0 + 100, y0 + 50, x1 + 100, y1 + 50), machine(), process(), job()
    )
    assert [c.feature for c in moved.cuts] == [c.feature for c in first.cuts]
    shift = [np.subtract(a.pierce, b.pierce) for a, b in zip(moved.cuts, first.cuts, strict=True)]
    assert np.allclose(shift, [100.0, 50.0], atol=1e-9)


def test_nothing_to_cut_is_nothing_planned() -> None:
    plan = plan_cuts(Sheet().parts(), (0, 0, 100, 100), machine(), process(), job())
    assert (plan.cuts, plan.findings, plan.left_out) == ((), (), ())


def test_sharp_corners_are_begun_on_their_extension_too() -> None:
    cut = planned(plate_with_hole(), sharp_corners=True).cuts[-1]
    assert cut.lead_shape == "extension"
    assert Counter(cut.contour.vertices[:, 2].tolist()) == {0.0: 5}
    assert cut.contour.length() == pytest.approx(2 * (100 + K + 60 + K))
