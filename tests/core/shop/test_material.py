from __future__ import annotations

import pytest

from kerfproof.errors import KerfproofError
from kerfproof.shop.material import gauge_thickness, material_key, parse_thickness

# Inches of published gauge tables: steel and galvanised by the Manufacturers' Standard Gauge, stainless by the
# thickness column of 15 U.S.C. 206, aluminium by the Brown & Sharpe gauge (ASTM B258).
PUBLISHED = {
    "steel": {3: 0.2391, 7: 0.1793, 10: 0.1345, 11: 0.1196, 12: 0.1046, 14: 0.0747, 16: 0.0598, 20: 0.0359, 30: 0.0120},
    "galvanized": {8: 0.1681, 10: 0.1382, 16: 0.0635, 20: 0.0396, 26: 0.0217},
    "stainless": {3: 0.2500, 10: 0.1406, 11: 0.1250, 16: 0.0625, 22: 0.0313},
    "aluminum": {3: 0.2294, 10: 0.1019, 12: 0.0808, 16: 0.0508, 20: 0.0320, 30: 0.0100},
}


@pytest.mark.parametrize(("material", "gauge"), [(m, g) for m, table in PUBLISHED.items() for g in table])
def test_gauges_agree_with_published_tables(material: str, gauge: int) -> None:
    assert gauge_thickness(gauge, material) / 25.4 == pytest.approx(PUBLISHED[material][gauge], abs=0.00006)


@pytest.mark.parametrize("text", ["16 ga", "16ga", "16 gauge", "16 Gage", "#16 ga."])
def test_a_gauge_is_a_thickness_of_its_material(text: str) -> None:
    assert parse_thickness(text, "mild steel") == 1.518
    assert parse_thickness(text, "304") == pytest.approx(1.5875, abs=0.001)


def test_a_thickness_may_be_a_length() -> None:
    assert parse_thickness("1/8 in", "brass") == 3.175
    assert parse_thickness("3", "steel", "mm") == 3.0


@pytest.mark.parametrize(
    ("text", "material", "words"),
    [
        ("2 ga", "steel", "there is no 2 gauge, only 3 to 30"),
        ("16 ga", "brass", "no gauge is known for brass"),
        ("0 mm", "steel", '"0 mm" is no thickness'),
        ("3", "steel", "3 needs a unit"),
        ("-1/8 in", "steel", "must be more than 0"),
    ],
)
def test_what_is_no_thickness_is_refused(text: str, material: str, words: str) -> None:
    with pytest.raises(KerfproofError, match=words):
        parse_thickness(text, material)


def test_materials_have_one_key_whatever_they_are_called() -> None:
    assert material_key("Aluminum") == material_key("ALU") == "aluminium"
    assert material_key("stainless-steel") == material_key("SS") == "stainless steel"
    assert material_key("  Some  Alloy ") == "some alloy"
