from __future__ import annotations

import pytest

from kerfproof.coupon.readings import Asked, mistyped, parse_readings
from kerfproof.errors import KerfproofError
from kerfproof.units import TIME

ASKED = (
    Asked(name="S1", text="", expected=40.0),
    Asked(name="S2", text="", expected=60.0),
    Asked(name="lit", text="", quantity=None),
    Asked(name="wait", text="", quantity=TIME),
    Asked(name="best", text="", quantity=None, names={"A1": 0.0, "A2": 1.0}),
)


def test_readings_are_names_with_values_and_a_unit_behind_the_last() -> None:
    found = parse_readings("S1 = 38.6 38.5 mm  # both ways\nS2=58.5mm; lit = 7", ASKED)
    assert found == {"S1": (38.6, 38.5), "S2": (58.5,), "lit": (7.0,)}


def test_one_unit_holds_for_all_readings_that_have_none() -> None:
    assert parse_readings("S1=1.5 S2=2.25 in", ASKED) == {"S1": (38.1,), "S2": (57.15,)}
    assert parse_readings("unit = in\ns1 = 1-1/2\nS2: 2 1/4", ASKED)["S1"] == (38.1,)
    assert parse_readings("S1=1.5 lit=3 best=A2 A1 in", ASKED) == {"S1": (38.1,), "lit": (3.0,), "best": (1.0, 0.0)}


def test_the_same_name_twice_is_two_readings() -> None:
    assert parse_readings("S1 = 38.6 mm\nS1 = 38.4 mm", ASKED) == {"S1": (38.6, 38.4)}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("S1 = 38.6", "needs a unit"),
        ("S1 = 38.6 mm S2 = 2.3 in lit = 2", None),
        ("S1 = 38.6 mm\nS2 = 2 in\nS1 = 38", "needs a unit"),
        ("S9 = 1 mm", "no reading 'S9'"),
        ("38.6 mm", "no reading"),
        ("", "there is no reading"),
        ("S1 = mm", "S1"),
        ("S1 = abc mm", "S1"),
        ("lit = many", "no number"),
        ("best = A7", "there is no 'A7'"),
        ("S1 = 38,6 mm", None),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_sentence(text: str, message: str | None) -> None:
    if message is None:
        parse_readings(text, ASKED)
        return
    with pytest.raises(KerfproofError, match=message) as caught:
        parse_readings(text, ASKED)
    assert "\n" not in str(caught.value)


def test_what_is_required_must_be_there() -> None:
    with pytest.raises(KerfproofError, match="'d1' is missing"):
        parse_readings("w = 3 mm", (Asked(name="w", text=""), Asked(name="d1", text="", required=True)))


def test_a_reading_near_what_is_expected_is_let_be() -> None:
    assert mistyped("S1", 41.0, 40.0, {}, 1.5) is None
    assert mistyped("S1", 41.6, 40.0, {}, 1.5) is not None
