from __future__ import annotations

import importlib

import pytest

from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss
from kerfproof.registry import load_folder

DIALECTS: dict[str, Dialect] = load_folder("kerfproof.gcode.dialects", "DIALECT")


def test_the_four_tiers_are_there() -> None:
    tiers = {name: (d.probe_word, d.probe_miss, d.trip_parameter, d.guard) for name, d in DIALECTS.items()}
    assert tiers["ngc"] == ("G38.2", ProbeMiss.STOPS, 5063, Guard.SQRT)
    assert tiers["compact"] == ("G38.2", ProbeMiss.ALARM, None, Guard.NONE)
    assert tiers["skip_macro"] == ("G31", ProbeMiss.SILENT, 5063, Guard.COMPARE)
    assert tiers["skip"] == ("G31", ProbeMiss.SILENT, None, Guard.NONE)


@pytest.mark.parametrize("name", sorted(DIALECTS))
def test_a_dialect_is_named_as_its_file_and_says_what_it_follows(name: str) -> None:
    page = importlib.import_module(f"kerfproof.gcode.dialects.{name}").__doc__
    assert DIALECTS[name].name == name
    assert page is not None and ("NISTIR 6556" in page or "from memory" in page or "As `" in page)


@pytest.mark.parametrize("name", sorted(DIALECTS))
def test_a_dialect_holds_what_its_guard_needs_and_shifts_z_only(name: str) -> None:
    d = DIALECTS[name]
    assert (d.guard is Guard.COMPARE) == bool(d.guard_above and d.guard_below)
    for template in (d.guard_above, d.guard_below):
        assert not template or ("{value}" in template and "{limit}" in template)
    assert d.guard is Guard.NONE or (d.expressions and d.trip_parameter is not None)
    filled = d.datum_word.format(z="-0.75", system=1)
    assert filled.endswith("Z-0.75") and "X" not in filled and "Y" not in filled
    assert d.datum_survives_end == (not d.datum_clear)


def test_the_published_language_is_as_published() -> None:
    ngc = DIALECTS["ngc"]
    assert ngc.path_blend_word == "G64"  # no P in NISTIR 6556, 3.5.14
    assert not ngc.arc_centers_absolute and ngc.arc_center_word == ""  # 3.5.3.2
    assert (ngc.arc_radius_tolerance_mm, ngc.arc_radius_tolerance_inch) == (0.002, 0.0002)  # 3.5.3.2
    assert ngc.line_limit == 256 and not ngc.semicolon_comments  # 3.3
    assert not ngc.dwell_in_ms  # 3.5.4
