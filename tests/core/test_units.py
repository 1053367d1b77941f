from __future__ import annotations

import subprocess
import sys
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof import units
from kerfproof.errors import KerfproofError

# Expected values by hand: the inch is 25.4 mm exactly.
LENGTHS = [
    ("0.75 in", 19.05),
    ("19 mm", 19.0),
    ("1/4 in", 6.35),
    ('0.236"', 5.9944),
    ("1-1/2 in", 38.1),
    ("1 1/2in", 38.1),
    ("1½ in", 38.1),
    ("½″", 12.7),
    ("2 cm", 20.0),
    (".5in", 12.7),
    ("2 ft", 609.6),
    ("2 inches", 50.8),
    ("-3 mm", -3.0),
    ("-1-1/2 in", -38.1),
    ("1e3 mm", 1000.0),
    ("5 um", 0.005),
    ("10 thou", 0.254),
    ("  7   MM ", 7.0),
    ("0.75 in.", 19.05),
]


@pytest.mark.parametrize(("text", "mm"), LENGTHS)
def test_lengths_are_read_exactly(text: str, mm: float) -> None:
    assert units.parse_length(text) == mm


@pytest.mark.parametrize(
    ("parse", "text", "value"),
    [
        (units.parse_feed, "120 in/min", 3048.0),
        (units.parse_feed, "3000 mm/min", 3000.0),
        (units.parse_feed, "50 mm/s", 3000.0),
        (units.parse_feed, "3.5 m/min", 3500.0),
        (units.parse_feed, "100 ipm", 2540.0),
        (units.parse_feed, "2 in / s", 3048.0),
        (units.parse_time, "0.4 s", 0.4),
        (units.parse_time, "400 ms", 0.4),
        (units.parse_time, "2 min", 120.0),
        (partial(units.parse, kind=units.ACCELERATION), "300 mm/s2", 300.0),
        (partial(units.parse, kind=units.ACCELERATION), "300 mm/s^2", 300.0),
        (partial(units.parse, kind=units.ACCELERATION), "0.5 m/s²", 500.0),
        (partial(units.parse, kind=units.ACCELERATION), "12 in/s2", 304.8),
        (units.parse_current, "50 A", 50.0),
        (units.parse_current, "42.5 amps", 42.5),
        (units.parse_angle, "90 deg", 90.0),
        (units.parse_angle, "-45°", -45.0),
        (partial(units.parse, kind=units.PERCENT), "35 %", 35.0),
    ],
)
def test_every_other_kind_is_read_exactly(parse: object, text: str, value: float) -> None:
    assert parse(text) == value  # type: ignore[operator]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0.75", '0.75 needs a unit, for example "0.75 in" or "0.75 mm"'),
        ("5 kg", '"5 kg" has no unit of length, for example "5 in" or "5 mm"'),
        ("3,5 mm", '"3,5 mm" is no length, write a point for decimals'),
        ("1,200 mm", '"1,200 mm" is no length, write a point for decimals'),
        ("", '"" is no length, for example "1 in" or "1 mm"'),
        ("mm", '"mm" is no length, for example "1 in" or "1 mm"'),
        ("nan mm", '"nan mm" is no length, for example "1 in" or "1 mm"'),
        ("1/0 in", '"1/0 in" divides by zero'),
        ("1e999 mm", '"1e999 mm" is too large'),
        ("1 2 mm", '"1 2 mm" has no unit of length, for example "1 in" or "1 mm"'),
        ("1 mm 2", '"1 mm 2" has no unit of length, for example "1 in" or "1 mm"'),
        ("1..2 mm", '"1..2 mm" is no length, for example "1 in" or "1 mm"'),
        ("120 in/min", '"120 in/min" has no unit of length, for example "120 in" or "120 mm"'),
    ],
)
def test_what_is_no_length_is_refused_with_one_sentence(text: str, message: str) -> None:
    with pytest.raises(KerfproofError) as caught:
        units.parse_length(text)
    assert str(caught.value) == message


def test_a_bare_number_is_taken_only_where_a_default_unit_is_given() -> None:
    assert units.parse_length("0.75", "in") == 19.05
    assert units.parse_length("0.75 mm", "in") == 0.75
    with pytest.raises(KerfproofError, match="3000 needs a unit"):
        units.parse_feed("3000")


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("1200x600 mm", (1200.0, 600.0)),
        ("48x24 in", (1219.2, 609.6)),
        ("48 in x 2 ft", (1219.2, 609.6)),
        ("48 in X 24in", (1219.2, 609.6)),
        ("4' x 8'", (1219.2, 2438.4)),
        ("1200 × 600mm", (1200.0, 600.0)),
        ("1-1/2 x 2-1/4 in", (38.1, 57.15)),
    ],
)
def test_plate_sizes_share_the_last_unit(text: str, size: tuple[float, float]) -> None:
    assert units.parse_size(text) == size


@pytest.mark.parametrize("text", ["48x24", "1200 mm", "1200 mm x 600", "0x5 mm", "2x3x4 mm", "x mm", "-2x3 mm"])
def test_what_is_no_plate_size_is_refused(text: str) -> None:
    with pytest.raises(KerfproofError):
        units.parse_size(text)


def test_lengths_feeds_and_times_are_shown_without_trailing_zeros() -> None:
    assert units.format_length(19.05) == "19.05 mm"
    assert units.format_length(19.05, inches=True) == "0.75 in"
    assert units.format_length(3.0) == "3 mm"
    assert units.format_length(-0.0001) == "0 mm"
    assert units.format_length(3.14159, decimals=1) == "3.1 mm"
    assert units.format_length(1000.0) == "1000 mm"
    assert units.format_feed(3048.0) == "3048 mm/min"
    assert units.format_feed(3048.0, inches=True) == "120 in/min"
    assert units.format_time(0.4) == "0.4 s"
    assert units.format_time(754.2) == "12 min 34 s"
    assert units.format_time(59.999) == "60 s"
    assert units.format_size(1219.2, 609.6, inches=True) == "48x24 in"


KINDS = [units.LENGTH, units.FEED, units.TIME, units.ACCELERATION, units.CURRENT, units.ANGLE, units.PERCENT]


@given(st.sampled_from(KINDS), st.floats(-1e9, 1e9), st.data())
def test_a_spelled_quantity_reads_back_as_the_same_number(kind: units.Kind, value: float, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(kind.units)))
    assert units.parse(units.spell(value, kind, unit), kind) == value


@given(st.integers(0, 400), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_mixed_fractions_of_an_inch_are_exact(whole: int, top: int, bottom: int) -> None:
    # A 64th of an inch is 0.396875 mm, exact in decimal; integers keep the sum exact until the one division.
    expected = (whole * bottom + top) * 254 / (bottom * 10)
    assert units.parse_length(f"{whole}-{top}/{bottom} in") == expected


@given(st.text(max_size=30))
def test_any_text_is_either_a_finite_length_or_a_sentence(text: str) -> None:
    try:
        assert abs(units.parse_length(text)) < float("inf")
    except KerfproofError as error:
        assert str(error)


@pytest.mark.slow
def test_units_load_nothing_heavy() -> None:
    code = (
        "import sys, kerfproof.units; print([m for m in ('numpy', 'pydantic', 'shapely', 'ezdxf') if m in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "[]"
