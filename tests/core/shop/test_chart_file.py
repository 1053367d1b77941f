from __future__ import annotations

from itertools import pairwise

import pytest

import kerfproof_resources
from kerfproof.errors import KerfproofError
from kerfproof.shop.chart import CutChart, PierceRating, Process
from kerfproof.shop.chart_file import chart_schema, parse_chart
from kerfproof.shop.file_model import FileMistakes
from kerfproof.shop.material import parse_thickness
from kerfproof.shop.select_process import select_process
from support.shop.shop import built_in

ROW = """
[[row]]
material = "mild steel"
thickness = "3 mm"
current = "40 A"
feed = "2200 mm/min"
kerf = "1.45 mm"
cut_height = "1.5 mm"
min_hole = "6 mm"
"""
BUILT_IN = [
    parse_chart(kerfproof_resources.chart_text(name), f"{name}.toml") for name in kerfproof_resources.chart_names()
]
ROWS = [pytest.param(row, id=f"{row.material} {row.thickness:g} {row.amps:g}") for c in BUILT_IN for row in c.rows]


def refusal(text: str) -> str:
    with pytest.raises(KerfproofError) as caught:
        parse_chart(text, "mine.toml")
    return str(caught.value)


def test_a_row_gets_lead_sizes_from_its_crater_where_the_file_gives_none() -> None:
    row = parse_chart(ROW, "mine.toml").rows[0]
    # Crater radius 1 + 0.5 t = 2.5 mm at 3 mm; arc lead crater + 1, straight lead crater + kerf/2 + 1.
    assert (row.lead_radius, row.lead_straight) == (3.5, 4.225)
    assert row.pierce is PierceRating.YES


def test_the_source_of_the_chart_is_that_of_rows_without_their_own() -> None:
    chart = parse_chart(
        'name = "c"\nsource = "test piece"\n' + ROW + ROW.replace("40 A", "45 A") + 'source = "me"', "x"
    )
    assert chart.name == "c"
    assert [row.source for row in chart.rows] == ["test piece", "me"]


def test_all_mistakes_of_a_chart_are_told_by_row() -> None:
    text = ROW + ROW.replace("1.45 mm", "1.45").replace("40 A", "40 mm").replace("min_hole", "min_holes")
    assert refusal(text).split("\n  ") == [
        "mine.toml: 3 mistakes",
        'row 2.current: "40 mm" has no unit of current, for example "40 A"',
        'row 2.kerf: 1.45 needs a unit, for example "1.45 in" or "1.45 mm"',
        "row 2.min_holes: is not known, did you mean min_hole?",
    ]


def test_the_same_row_twice_is_a_mistake_under_any_name_of_the_material() -> None:
    message = refusal(ROW + ROW.replace("mild steel", "Steel"))
    assert message == "mine.toml: row 2: Steel of 3 mm at 40 A stands already in row 1"


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ('pierce_height = "1 mm"', "row 1.pierce_height: 1 mm is below the cut height"),
        ('hole_kerf = "15 mm"', "row 1.hole_kerf: 15 mm is no kerf of the same tip as kerf"),
        ('lead_radius = "0 mm"', 'row 1.lead_radius: "0 mm" must be more than 0'),
        ('pierce = "maybe"', 'row 1.pierce: "maybe" is not one of yes, limit, last resort or no'),
        ("starts_per_tip = 10.5", "row 1.starts_per_tip: must be a whole number"),
        ('feed = "3 mm/min"', "stands in its section already"),
    ],
)
def test_a_row_that_contradicts_itself_is_refused(extra: str, words: str) -> None:
    assert words in refusal(ROW + extra)


def test_a_chart_without_rows_is_refused() -> None:
    assert refusal("row = []") == "mine.toml: row: must not be empty"
    assert refusal('title = "x"') == "mine.toml: row: is missing, the file needs a section [[row]]"
    assert refusal("row = [1]") == "mine.toml: row 1: must be a table with keys of its own"


@pytest.mark.parametrize("chart", BUILT_IN, ids=lambda chart: chart.name)
def test_a_starter_chart_has_every_material_from_1_to_12_mm_with_its_sources(chart: CutChart) -> None:
    rows = chart.rows
    for material in ("mild steel", "stainless steel", "aluminium"):
        thicknesses = {row.thickness for row in rows if row.material == material}
        assert thicknesses >= {1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0}
    assert all("+-30 %" in row.source for row in rows)
    assert all(row.amps >= 30 for row in rows if row.material == "aluminium")


@pytest.mark.parametrize("chart", BUILT_IN, ids=lambda chart: chart.name)
def test_at_one_current_thicker_plate_is_slower_with_wider_kerf_crater_and_longer_pierce(chart: object) -> None:
    rows: tuple[Process, ...] = chart.rows  # type: ignore[attr-defined]
    compared = 0
    for material, amps in sorted({(row.material, row.amps) for row in rows}):
        ladder = sorted((r for r in rows if (r.material, r.amps) == (material, amps)), key=lambda r: r.thickness)
        for thin, thick in pairwise(ladder):
            compared += 1
            assert thick.feed_mm_min < thin.feed_mm_min or thin.thickness < 1.0  # under 1 mm the table sets it
            assert thick.kerf >= thin.kerf
            assert thick.crater_radius >= thin.crater_radius
            assert thick.min_hole >= thin.min_hole
            if thick.pierce is not PierceRating.NO:
                assert thick.pierce_delay_s >= thin.pierce_delay_s
    assert compared >= 15


@pytest.mark.parametrize("row", ROWS)
def test_the_smallest_hole_of_a_row_is_by_thickness_or_kerf(row: Process) -> None:
    # A job-shop guideline asks for 1.5 t; 4 kerfs: common practice, from memory. Spatter alone spoils no edge.
    assert row.min_hole == pytest.approx(max(1.5 * row.thickness, 4 * row.kerf), abs=1e-3)


@pytest.mark.parametrize("row", ROWS)
def test_the_leads_of_a_row_keep_its_crater_off_the_edge(row: Process) -> None:
    # Common practice, from memory: arc lead max(3, crater + 1), straight lead max(4, crater + kerf/2 + 1).
    crater = max(1.5 * row.kerf, 1.0 + 0.5 * row.thickness)
    assert max(3.0, crater + 1.0) - 0.25 <= row.lead_radius <= max(3.0, crater + 1.0) + 0.5
    straight = max(4.0, crater + row.kerf / 2 + 1.0)
    assert straight - 0.25 <= row.lead_straight <= straight + 0.75


@pytest.mark.parametrize("row", ROWS)
def test_a_row_that_pierces_from_3_mm_on_rises_out_of_the_blow_back(row: Process) -> None:
    if row.pierce is not PierceRating.NO and row.thickness >= 3 and row.amps >= 40:
        assert row.pierce_height in (2 * row.cut_height, 3.8)  # 3.8 mm on a pilot arc


def test_a_pilot_arc_pierces_10_mm_and_a_touching_start_does_not() -> None:
    # Common practice, no source: 45 to 50 A, 3.8 mm up, 1.2 to 1.5 s.
    touching, pilot = ({(r.material, r.thickness, r.amps): r for r in c.rows} for c in BUILT_IN[:2])
    key = ("mild steel", 10.0, 50.0)
    assert touching[key].pierce is PierceRating.NO
    assert pilot[key].pierce is PierceRating.LIMIT
    assert pilot[key].pierce_height == 3.8 and 1.2 <= pilot[key].pierce_delay_s <= 1.5


@pytest.mark.parametrize(
    ("text", "material"),
    [(f"{n} ga", "steel") for n in (10, 11, 12, 14, 16, 18, 20, 22)]
    + [(f"{n} ga", "stainless") for n in (10, 11, 12, 14, 16, 18)]
    + [(t, m) for t in ("1/8 in", "3/16 in", "1/4 in", "3/8 in", "1/2 in") for m in ("steel", "stainless", "aluminum")]
    + [(f"{t} in", "aluminum") for t in (0.05, 0.063, 0.08, 0.09, 0.125, 0.19)],
)
def test_gauges_and_inch_plate_have_rows_of_their_own(text: str, material: str) -> None:
    thickness = parse_thickness(text, material)
    row = select_process(BUILT_IN[0], material, thickness, None, built_in("contact-float-inch"))
    assert not row.estimated and abs(row.thickness - thickness) <= 0.065


def test_the_gap_follows_the_thickness() -> None:
    # A fabricator's table: 6 / 8 / 11 / 13 mm between parts at 1.5 / 3 / 6 / 8 mm plate.
    rows = {(r.material, r.thickness, r.amps): r for r in BUILT_IN[0].rows}
    steel = [rows["mild steel", t, a] for t, a in ((1.5, 30.0), (3.0, 40.0), (6.0, 50.0), (8.0, 50.0))]
    assert [row.part_gap for row in steel] == pytest.approx([6, 8, 11, 13], abs=1.01)


def test_the_schema_names_the_keys_of_a_row() -> None:
    schema = chart_schema()
    assert schema["properties"]["row"]["items"]["$ref"] == "#/$defs/Row"
    assert schema["$defs"]["Row"]["properties"]["pierce"]["default"] == "yes"


def test_what_contradicts_itself_in_one_row_is_told_beside_what_is_wrong_in_another() -> None:
    wrong = ROW[ROW.index("[[row]]") :].replace('kerf = "', 'kerf = "x')
    odd = ROW.replace('min_hole = "', 'min_hole = "0.0')
    with pytest.raises(FileMistakes) as caught:
        parse_chart(f"{odd}\n{wrong}", "mine.toml")
    assert [mistake.partition(":")[0] for mistake in caught.value.mistakes] == ["row 2.kerf", "row 1.min_hole"]
