from __future__ import annotations

import pytest

from kerfproof.errors import Cancelled
from kerfproof.geom.path import Path
from kerfproof.toolpath.build import Setting, plan_cuts, prepare
from kerfproof.toolpath.choose import LeadVerdict, choose_leads, judge_lead
from kerfproof.toolpath.order import Stop, order_stops
from toolpath_shapes import Sheet, dense_plate, job, machine, plate_with_hole, process


def setting_of(sheet: Sheet, margin: float = 20.0) -> Setting:
    return prepare(sheet.parts(), sheet.bounds(margin), machine(), process(), job())


def judged(sheet: Sheet, loop: int, point: tuple[float, float], shape: str, size: float | None = None) -> LeadVerdict:
    s = setting_of(sheet)
    return judge_lead(s.sheet, s.ground, machine(), process(), job(), loop, point, shape, size)


def test_a_single_lead_is_judged_with_its_reasons() -> None:
    sheet = plate_with_hole()  # outline 20..120 x 20..80, plate 0..140 x 0..100
    good = judged(sheet, 0, (70.0, 80.0), "arc")
    assert good.fits and good.reasons == () and good.must_precede == ()
    assert good.path.end.tolist() == pytest.approx([70.0, 80.725])
    small = judged(sheet, 0, (70.0, 80.0), "arc", size=2.0)
    assert small.reasons == ("the pierce is too near a kept edge",)
    far = judged(sheet, 0, (70.0, 80.0), "arc", size=18.0)
    assert far.reasons == ("the pierce is too near the edge of the plate",)
    wide = judged(sheet, 1, (80.0, 50.0), "straight", size=24.0)
    assert "the kerf would touch kept metal" in wide.reasons


def test_a_lead_across_another_cut_is_refused_and_one_beside_it_must_come_first() -> None:
    sheet = Sheet()
    sheet.outline(Path.rectangle(0, 0, 50, 50))
    sheet.outline(Path.rectangle(60, 0, 110, 50))
    beside = judged(sheet, 0, (50.0, 25.0), "arc", size=3.5)
    assert beside.fits and beside.must_precede == (1,)
    across = judged(sheet, 0, (50.0, 25.0), "arc", size=8.5)
    assert "the kerf would cross another cut" in across.reasons


def test_shapes_for_corners_take_the_nearest_corner() -> None:
    verdict = judged(plate_with_hole(), 0, (118.0, 75.0), "extension")
    assert verdict.path.end.tolist() == pytest.approx([120.725, 80.725])


@pytest.mark.parametrize(("loop", "shape"), [(1, "extension"), (0, "from_center"), (0, "loop the loop")])
def test_a_shape_that_does_not_suit_is_a_wrong_call(loop: int, shape: str) -> None:
    with pytest.raises(ValueError, match="no lead shape"):
        judged(plate_with_hole(), loop, (0.0, 0.0), shape)


def test_pierces_in_thin_sheet_keep_off_known_slats() -> None:
    sheet = Sheet()
    sheet.outline(Path.circle((100, 100), 40))
    for offset in (0.0, 17.0, 33.0):
        table = machine(slat_pitch=50.0, slat_offset=offset)
        (cut,) = plan_cuts(sheet.parts(), sheet.bounds(20), table, process(), job()).cuts
        past = (cut.pierce[0] - offset) % 50
        assert min(past, 50 - past) >= 5.0


def test_the_person_can_stop_the_planner() -> None:
    def stop(stage: str, share: float) -> None:
        if stage == "leads":
            raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        plan_cuts(plate_with_hole().parts(), (0, 0, 140, 100), machine(), process(), job(), watch=stop)


@pytest.mark.slow
def test_every_feature_of_a_full_sheet_gets_a_lead_and_a_place_in_the_order() -> None:
    sheet = dense_plate(500)
    parts, plate = sheet.parts(), sheet.bounds(20)
    setting = setting_of(sheet)
    leads = choose_leads(setting.sheet, setting.ground, machine(), process(), job(), {}, setting.ranks)
    assert len(leads.leads) == 4500 and None not in leads.leads
    stops = [
        Stop(loop.feature.number, lead.pierce, loop.width)
        for loop, lead in zip(setting.sheet.loops, leads.leads, strict=True)
        if lead is not None
    ]
    assert sorted(order_stops(stops, parts, plate)) == list(range(4500))
