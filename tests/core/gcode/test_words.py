from __future__ import annotations

import numpy as np
import pytest

from kerfproof.gcode.words import NumberFormat, comment, message, number, plain

INCH = NumberFormat(inches=True, decimals=5)
MM = NumberFormat(inches=False, decimals=4)


def test_numbers_are_fixed_trimmed_and_never_minus_zero() -> None:
    given = [12.5, 0.75, -3.0, 100.0, 0.0, -0.0, -0.00004, 1e-9, 1234567.1235, 10.0, -0.5]
    wanted = ["12.5", "0.75", "-3", "100", "0", "0", "0", "0", "1234567.1235", "10", "-0.5"]
    assert [number(value, 4) for value in given] == wanted
    assert number(0.4, 0) == "0" and number(120.0, 0) == "120"


def test_numbers_read_back_as_the_rounded_value() -> None:
    rng = np.random.default_rng(5)
    for value in (rng.uniform(-1, 1, 5000) * 10.0 ** rng.integers(-6, 6, 5000)).tolist():
        text = number(value, 4)
        assert "e" not in text and text != "-0" and abs(float(text) - value) <= 0.5000001e-4


def test_a_float_of_three_quarters_is_exact_in_both_units() -> None:
    assert INCH.length(-19.05) == "-0.75"
    assert MM.length(-19.05) == "-19.05"


def test_feeds_in_inches_are_true_within_a_tenth_of_a_percent() -> None:
    for feed in (60.0, 120.0, 150.0, 480.0, 1246.7, 6000.0):
        inch = float(INCH.feed(feed).removeprefix("F")) * 25.4
        assert abs(inch / feed - 1) < 1e-3
        assert abs(float(MM.feed(feed).removeprefix("F")) / feed - 1) < 1e-3


def test_dwells_are_seconds_or_milliseconds_and_nothing_when_they_round_to_nothing() -> None:
    assert MM.dwell(0.4333) == ["G4 P0.433"]
    assert NumberFormat(False, 4, dwell_in_ms=True).dwell(0.4333) == ["G4 P433"]
    assert MM.dwell(0.0) == [] == MM.dwell(0.0004)
    assert MM.dwell(2.0) == ["G4 P2"]


def test_sizes_in_comments_name_both_units() -> None:
    assert INCH.size(19.05) == "0.75 in = 19.05 mm"
    assert INCH.size(25.4, 50.8) == "1 x 2 in = 25.4 x 50.8 mm"
    assert MM.size(19.05) == "19.05 mm"


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("part (2).dxf", "(part 2 .dxf)"),
        ("Blech_Ø8.dxf", "(Blech_D8.dxf)"),
        ("Träger größer", "(Trager grosser)"),
        ("a; b", "(a, b)"),
        ("stop! ~go? $H %", "(stop go H)"),
        ("two\nlines\tone", "(two lines one)"),
        ("日本 5×3", "(__ 5x3)"),
        ("MSG, not ours", "(MSG not ours)"),
        ("logopen, x", "(logopen x)"),
        ("cut 1, hole", "(cut 1, hole)"),
        ("", "()"),
    ],
)
def test_a_comment_is_plain_whatever_the_name(text: str, written: str) -> None:
    assert comment(text) == written


def test_comments_and_messages_hold_80_characters_and_no_more() -> None:
    assert len(comment("x" * 200)) == 80
    assert len(message("y" * 200)) == 80
    assert message("clamp (on)") == "(MSG, clamp on)"


def test_no_character_of_any_alphabet_breaks_a_comment() -> None:
    text = "".join(map(chr, [*range(0, 0xD800), *range(0xE000, 0x11000)]))
    inner = plain(text)
    assert inner.isascii() and inner.isprintable() and not set("()!~?$%;") & set(inner)
