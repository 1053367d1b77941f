from __future__ import annotations

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.name_pattern import FromName, pattern_of

STEEL = {"st": "mild steel", "Edelstahl": "stainless steel"}


@pytest.mark.parametrize(
    ("pattern", "stem", "expected"),
    [
        ("{material}_{thickness}_*", "steel_3mm_bracket", FromName("steel", 3.0)),
        ("{material}_{thickness}_*", "STEEL_3MM_x", FromName("STEEL", 3.0)),
        ("{material}_{thickness}_*", "mild_steel_0.25in_part 7", FromName("mild steel", 6.35)),
        ("{material}-{thickness}-*", "st-1,5mm-lid", FromName("mild steel", 1.5)),
        ("{material} {thickness}*", "edelstahl 2 mm", FromName("stainless steel", 2.0)),
        ("*{thickness}*", "part13mm", FromName(None, 13.0)),
        ("*-{thickness:mm}", "bracket-3", FromName(None, 3.0)),
        ("*-{thickness:in}", "bracket-.5", None),
        ("*-{thickness:in}", "bracket-0.5", FromName(None, 12.7)),
        ("*_{thickness}_{count}x", "lid_16ga_12x", FromName(None, 1.518, 12)),
        ("{thickness}", "1-1-2in", FromName(None, 38.1)),
        ("x?{thickness}", "x-3mm", FromName(None, 3.0)),
        ("{material}_{thickness}_*", "bracket", None),
        ("{thickness}_*", "3mmx_a", None),
        ("a.b_{thickness}", "aXb_3mm", None),
    ],
)
def test_names_are_read_by_the_pattern(pattern: str, stem: str, expected: FromName | None) -> None:
    assert pattern_of(pattern).problems == ()
    assert pattern_of(pattern).read(stem, STEEL, "mild steel") == expected


def test_a_gauge_means_the_thickness_of_its_own_material() -> None:
    # Brown & Sharpe 16 gauge: 0.05082 in.
    found = pattern_of("{material}_{thickness}").read("alu_16ga", {}, "mild steel")
    assert found is not None
    assert found.thickness == pytest.approx(0.05082 * 25.4, abs=1e-3)


def test_a_name_that_can_be_read_in_two_ways_is_refused() -> None:
    with pytest.raises(KerfproofError, match="2mm or 3mm"):
        pattern_of("*{thickness}*").read("lid-2mm-on-3mm", {}, "mild steel")


def test_a_thickness_of_nothing_is_refused() -> None:
    with pytest.raises(KerfproofError, match="0"):
        pattern_of("{thickness}").read("0mm", {}, "mild steel")


@pytest.mark.parametrize(
    ("pattern", "said"),
    [
        ("*", "nothing to read"),
        ("{matter}_*", "{matter} is not known"),
        ("{thickness:furlong}", "is not known"),
        ("{thickness}_{thickness:mm}", "{thickness} comes twice"),
        ("{}", "{} is not known"),
    ],
)
def test_the_mistakes_of_a_pattern_are_told(pattern: str, said: str) -> None:
    assert said in " ".join(pattern_of(pattern).problems)
    assert pattern_of(pattern).read("steel_3mm", {}, "mild steel") is None
