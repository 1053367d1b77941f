from __future__ import annotations

import pytest

from kerfproof.errors import Cancelled
from kerfproof.geom.path import Path
from kerfproof.plan.build import LeadSetting, plan_cuts, prepare
from kerfproof.plan.leads.choose import choose_leads
from kerfproof.plan.order.order import CutPlace, order_stops
from support.shop.toolpath_shapes import Sheet, dense_plate, job, machine, plate_with_hole, process


def setting_of(sheet: Sheet, margin: float = 20.0) -> LeadSetting:
    return prepare(sheet.parts(), sheet.bounds(margin), machine(), process(), job())


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
        CutPlace(loop.feature.number, lead.pierce, loop.width)
        for loop, lead in zip(setting.sheet.loops, leads.leads, strict=True)
        if lead is not None
    ]
    assert sorted(order_stops(stops, parts, plate)) == list(range(4500))
