"""Expressions against the printed lists of NISTIR 6556."""

from __future__ import annotations

import math

import pytest

from kerfproof.gcode.reader.expression import Misread, Parameters, evaluate, read_expression, read_value

# NISTIR 6556, C.2: the expressions of the printed test program with the values printed beside them.
PRINTED = [
    ("1+2", 3.0),
    ("1-2", -1.0),
    ("1--3", 4.0),
    ("2/5", 0.4),
    ("3.0*5", 15.0),
    ("0OR0", 0.0),
    ("0OR1", 1.0),
    ("2OR2", 1.0),
    ("0AND0", 0.0),
    ("0AND1", 0.0),
    ("2AND2", 1.0),
    ("0XOR0", 0.0),
    ("0XOR1", 1.0),
    ("2XOR2", 0.0),
    ("15MOD4.0", 3.0),
    ("1+2*3-4/5", 6.2),
    ("SIN[30]", 0.5),
    ("COS[0.0]", 1.0),
    ("TAN[60.0]", 1.7321),
    ("ASIN[1.0]", 90.0),
    ("ACOS[0.707107]", 45.0),
    ("ATAN[1.7321]/[1.0]", 60.0),
    ("ROUND[-0.499]", 0.0),
    ("ROUND[-0.5001]", -1.0),
    ("ROUND[2.499]", 2.0),
    ("ROUND[9.975]", 10.0),
    ("FIX[-0.499]", -1.0),
    ("FIX[-0.5001]", -1.0),
    ("FUP[-0.499]", 0.0),
    ("FUP[-0.5001]", 0.0),
    ("EXP[2.3026]", 10.0),
    ("LN[10.0]", 2.3026),
    ("2**3.0", 8.0),
    ("SQRT[3**2+4**2]", 5.0),
    ("ABS[-1.5]", 1.5),
]


def value_of(code: str, parameters: Parameters | None = None) -> float:
    value, end = read_expression(code, 0)
    assert end == len(code)
    return evaluate(value, parameters or Parameters({}))


@pytest.mark.parametrize(("code", "printed"), PRINTED, ids=[code for code, _ in PRINTED])
def test_the_printed_expressions_have_their_printed_values(code: str, printed: float) -> None:
    assert value_of(code) == pytest.approx(printed, abs=1e-3)


def test_the_printed_examples_of_whole_numbers_above_and_below() -> None:
    # NISTIR 6556, 3.3.2.4.
    assert [value_of(f"{f}[{v}]") for f, v in [("FIX", "2.8"), ("FIX", "-2.8"), ("FUP", "2.8"), ("FUP", "-2.8")]] == [
        2.0,
        -3.0,
        3.0,
        -2.0,
    ]


def test_the_printed_example_of_precedence() -> None:
    # NISTIR 6556, 3.3.2.3.
    assert value_of("[2.0/3*1.5-5.5/11.0]") == pytest.approx(0.5, abs=1e-12)


def test_line_460_of_the_printed_program() -> None:
    # NISTIR 6556, C.2; no value is printed. Worked out here with plain math.
    code = "[2+ASIN[1/2.1+-0.345]/[ATAN[FIX[4.4]*2.1*SQRT[16.8]]/[-18]]**2]"
    top = math.degrees(math.asin(1 / 2.1 - 0.345))
    below = math.degrees(math.atan2(4 * 2.1 * math.sqrt(16.8), -18))
    assert value_of(code) == pytest.approx(2 + top / below**2, abs=1e-12)
    assert value_of(code) == pytest.approx(2.000545, abs=1e-6)


def test_operators_of_one_level_work_from_left_to_right() -> None:
    assert value_of("2**3**2") == 64.0
    assert value_of("8/4/2") == 1.0
    assert value_of("10-3-2") == 5.0
    assert value_of("1OR0AND0") == 0.0  # AND binds no tighter than OR (3.3.2.3)


def test_mod_is_never_negative() -> None:
    assert value_of("-7MOD4") == 1.0


def test_the_number_sign_binds_tighter_than_any_operator() -> None:
    parameters = Parameters({1: 2.0, 2: 30.0, 3: 7.0})
    assert value_of("#1+2", parameters) == 4.0
    assert value_of("##1", parameters) == 30.0
    assert value_of("#[1+2]", parameters) == 7.0


@pytest.mark.parametrize("code", ["SQRT[0-1]", "LN[0]", "ACOS[1.1]", "1/0", "1MOD0", "[0-8]**0.5", "0**[0-1]"])
def test_an_expression_without_result_stops_the_control(code: str) -> None:
    with pytest.raises(Misread) as caught:
        value_of(code)
    assert caught.value.halts


@pytest.mark.parametrize("code", ["EXP[9999]", "10**999", "9**9**9**9"])
def test_too_large_a_result_stops_the_control(code: str) -> None:
    with pytest.raises(Misread, match="too large"):
        value_of(code)


@pytest.mark.parametrize(
    ("code", "at"),
    [("[1+2", 4), ("[1+", 3), ("SQRT5", 0), ("ATAN[1]", 7), ("-[1]", 0), ("#<width>", 0), ("", 0), ("[]", 1), ("X", 0)],
)
def test_text_that_is_no_expression_is_refused_at_its_place(code: str, at: int) -> None:
    with pytest.raises(Misread) as caught:
        read_value(code, 0)
    assert (caught.value.at, caught.value.halts) == (at, False)


@pytest.mark.parametrize("number", ["0", "5400", "1.5", "-3"])
def test_parameters_have_whole_numbers_from_1_to_5399(number: str) -> None:
    with pytest.raises(Misread, match="there is no parameter"):
        value_of(f"#[{number}]" if number.startswith("-") else f"#{number}")


def test_a_parameter_number_may_be_off_by_a_rounding_error() -> None:
    assert value_of("#3.00005", Parameters({3: 8.0})) == 8.0


def test_endless_brackets_are_refused_and_do_not_recurse() -> None:
    with pytest.raises(Misread, match="brackets inside each other"):
        read_value("[" * 5000 + "1" + "]" * 5000, 0)
    with pytest.raises(Misread):
        read_value("#" * 100_000, 0)


def test_a_long_chain_is_worked_out_without_recursion() -> None:
    assert value_of("+".join(["1"] * 20_000)) == 20_000.0
    assert value_of("#" * 3000 + "1", Parameters({1: 1.0})) == 1.0


def test_a_parameter_that_was_never_set_is_0_and_remembered() -> None:
    parameters = Parameters({5063: 4.0})
    assert value_of("#5063+#101+#101", parameters) == 4.0
    assert parameters.stale == [101]
