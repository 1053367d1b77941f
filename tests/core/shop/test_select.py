from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import kerfproof_resources
from kerfproof.errors import KerfproofError
from kerfproof.shop.chart import CutChart, PierceRating
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.select_process import select_process

WHOLE = parse_chart(kerfproof_resources.chart_text("air-50a"), "air-50a.toml")
CHART = replace(
    WHOLE,
    rows=tuple(r for r in WHOLE.rows if 2 * r.thickness % 1 == 0 and not (r.amps == 40 and r.thickness > 3.5)),
)
"""Few rows, so that there is something to estimate between."""
MACHINE = parse_machine(kerfproof_resources.machine_text("contact-float-mm"), "m.toml")


def refusal(material: str, thickness: float, amps: float | None, max_amps: float = 50.0) -> str:
    with pytest.raises(KerfproofError) as caught:
        select_process(CHART, material, thickness, amps, replace(MACHINE, max_amps=max_amps))
    return str(caught.value)


@pytest.mark.parametrize("material", ["mild steel", "Steel", "MS", "carbon  steel"])
def test_an_exact_row_comes_back_as_it_stands_under_any_name_of_its_material(material: str) -> None:
    row = select_process(CHART, material, 3.0, None, MACHINE)
    assert row in CHART.rows
    assert (row.thickness, row.amps, row.feed_mm_min) == (3.0, 40.0, 2200.0)


def test_thickness_is_exact_within_five_hundredths() -> None:
    assert not select_process(CHART, "steel", 1.55, None, MACHINE).estimated
    assert not select_process(CHART, "steel", 1.45, None, MACHINE).estimated
    assert select_process(CHART, "steel", 1.56, None, MACHINE).estimated


def test_the_current_is_taken_as_given() -> None:
    assert select_process(CHART, "steel", 3.0, 30.0, MACHINE).feed_mm_min == 1300.0


def test_without_a_current_the_supply_limits_it() -> None:
    assert select_process(CHART, "steel", 2.0, None, replace(MACHINE, max_amps=35.0)).amps == 30.0


def test_rows_meant_to_pierce_go_before_higher_current() -> None:
    rows = [row for row in CHART.rows if (row.material, row.thickness) == ("mild steel", 3.0)]
    rows = [replace(row, pierce=PierceRating.YES if row.amps == 30 else PierceRating.LAST_RESORT) for row in rows]
    chart = CutChart(name="c", rows=tuple(rows))
    assert select_process(chart, "steel", 3.0, None, MACHINE).amps == 30.0


def test_between_two_rows_of_one_current_the_values_lie_between_and_say_so() -> None:
    row = select_process(CHART, "steel", 7.0, None, MACHINE)
    # Half way between 6 mm (1100 mm/min, 1.7 mm, 0.7 s, pierces) and 8 mm (700, 1.8, 1.0, last resort) at 50 A.
    # Feed x thickness x kerf is 11220 and 10080; between them as a power of thickness it is 10592 at 7 mm.
    assert (row.thickness, row.amps, row.feed_mm_min, row.kerf) == (7.0, 50.0, 865.0, 1.75)
    assert (row.pierce_delay_s, row.pierce_height, row.min_hole) == (0.85, 3.5, 10.5)
    assert row.pierce is PierceRating.LAST_RESORT
    assert row.estimated
    assert row.source.startswith("estimated between 6 mm and 8 mm at 50 A of air-50a")


def test_an_eighth_of_an_inch_is_estimated_across_currents_when_none_is_asked_for() -> None:
    row = select_process(CHART, "steel", 3.175, None, MACHINE)
    assert row.amps == 40.0
    assert 1750.0 < row.feed_mm_min < 2200.0
    assert row.source.startswith("estimated between 3 mm and 4 mm at 40 and 45 A")


def test_in_doubt_an_estimate_pierces_no_better_than_its_worse_row() -> None:
    row = select_process(CHART, "steel", 9.0, None, MACHINE)
    assert row.pierce is PierceRating.NO
    assert row.pierce_delay_s == 1.5


@pytest.mark.parametrize(
    ("material", "thickness", "amps", "max_amps", "message"),
    [
        ("steel", 6.0, None, 30.0,
         "air-50a: steel of 6 mm needs 50 A, more than torch and supply give (30 A) "
         "(nearest are 2 mm (30 A) and 3 mm (30 A))"),
        ("steel", 7.0, None, 45.0,
         "air-50a: steel of 7 mm needs 50 A, more than torch and supply give (45 A) "
         "(nearest are 3 mm (30, 40 A) and 4 mm (45 A))"),
        ("steel", 6.0, 50.0, 30.0,
         "contact-float-mm: 50 A is more than torch and supply give (30 A) (nearest are 2 mm (30 A) and 3 mm (30 A))"),
        ("steel", 3.0, 500.0, 50.0,
         "contact-float-mm: 500 A is more than torch and supply give (50 A) "
         "(at most 50 A; the chart has 30, 40 A for this plate)"),
        ("steel", 20.0, None, 50.0, "air-50a: no row for steel of 20 mm (nearest are 10 mm (50 A) and 12 mm (50 A))"),
        ("steel", 4.2, 40.0, 50.0,
         "air-50a: no row for steel of 4.2 mm at 40 A (nearest are 2 mm (40 A) and 3 mm (40 A))"),
        ("steel", 2.0, 35.0, 50.0, "air-50a: no row for steel at 35 A (it has 25, 30, 40, 45, 50 A)"),
        ("brass", 3.0, None, 50.0, 'air-50a: no row for "brass" (it has aluminium, mild steel, stainless steel)'),
        ("stainles", 3.0, None, 50.0, 'air-50a: no row for "stainles" (did you mean stainless steel?)'),
        ("aluminum", 2.0, None, 20.0,
         "air-50a: aluminum of 2 mm needs 40 A, more than torch and supply give (20 A) "
         "(no row of this material stays within what torch and supply give)"),
    ],
)  # fmt: skip
def test_what_the_chart_or_the_supply_lacks_is_told_with_what_there_is(
    material: str, thickness: float, amps: float | None, max_amps: float, message: str
) -> None:
    assert refusal(material, thickness, amps, max_amps) == message


@pytest.mark.parametrize(("said", "name"), [("Galvanized", "galvanised steel"), ("Corten", "weathering steel")])
def test_coated_and_weathering_steel_take_the_rows_of_mild_steel_under_their_own_name(said: str, name: str) -> None:
    row, plain = (select_process(WHOLE, material, 3.0, None, MACHINE) for material in (said, "mild steel"))
    assert replace(row, material=plain.material) == plain and row.material == name
    own = replace(plain, material="galvanized steel", feed_mm_min=2000.0)
    with_own = replace(WHOLE, rows=(*WHOLE.rows, own))
    assert select_process(with_own, "galvanized", 3.0, None, MACHINE) == own


def test_below_the_thinnest_row_nothing_is_faster_than_it() -> None:
    steel = [r for r in WHOLE.rows if r.material == "mild steel"]
    row = select_process(WHOLE, "steel", 0.7, None, MACHINE)
    assert row.estimated and row.feed_mm_min <= min(steel, key=lambda r: r.thickness).feed_mm_min


def test_an_inch_shop_is_told_the_thickness_in_both_units() -> None:
    inch = replace(MACHINE, inches=True)
    with pytest.raises(KerfproofError, match=r"steel of 25\.4 mm \(1 in\)"):
        select_process(CHART, "steel", 25.4, None, inch)


@given(
    st.sampled_from(["steel", "stainless", "aluminum"]),
    st.floats(1, 12),
    st.sampled_from([25.0, 30.0, 40.0, 45.0, 50.0]),
)
def test_no_row_above_the_supply_is_ever_offered_and_estimates_lie_between_rows(
    material: str, thickness: float, max_amps: float
) -> None:
    try:
        row = select_process(CHART, material, thickness, None, replace(MACHINE, max_amps=max_amps))
    except KerfproofError:
        assert max_amps < 50.0
        return
    assert row.amps <= max_amps
    same = [r for r in CHART.rows if r.material == row.material]
    assert min(r.feed_mm_min for r in same) <= row.feed_mm_min <= max(r.feed_mm_min for r in same)
    assert abs(row.thickness - thickness) <= 0.0501
