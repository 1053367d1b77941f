from __future__ import annotations

import datetime
import random
import tomllib
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

import kerfproof_resources
from kerfproof.errors import KerfproofError
from kerfproof.job.job_file import parse_job
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.file_model import read_toml
from kerfproof.shop.machine_file import parse_machine

JOB = """
machine = "a"
chart = "b"
material = "steel"
thickness = "3 mm"
drawing = [{name = "x.dxf"}]
leads = {radius = "3 mm"}
pin = [{drawing = "x.dxf", x = "1 mm", y = "2 mm"}]
role = [{layer = "B*", role = "mark"}]
"""
CHART = "\n".join([*kerfproof_resources.chart_text("air-50a").splitlines()[:23], "]"])
FILES: dict[str, tuple[Callable[[str, str], Any], str]] = {
    "machine": (parse_machine, kerfproof_resources.machine_text("contact-float-inch")),
    "pilot": (parse_machine, kerfproof_resources.machine_text("pilot-ohmic-mm")),
    "chart": (parse_chart, CHART),
    "job": (parse_job, JOB),
}
NUMBERS: list[Any] = [0, -1, 1e308, float("inf"), float("nan"), True]
TEXTS: list[Any] = ["", "x", "0 mm", "-3 mm", "1e300 mm", "1 A", "1 in/min", "\n", "\u00e9"]
TABLES: list[Any] = [[], [1], ["x"], {}, {"a": 1}, [{}], [{"name": 3}], datetime.date(2020, 1, 1)]
ODD = NUMBERS + TEXTS + TABLES


def _places(value: Any, above: Any = None, at: Any = None) -> list[tuple[Any, Any]]:
    found = [] if above is None else [(above, at)]
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        found += _places(inner, value, key)
    return found


@given(st.sampled_from(sorted(FILES)), st.integers(0, 10**9))
def test_a_damaged_file_ends_in_sentences_that_name_a_place(kind: str, seed: int) -> None:
    parse, text = FILES[kind]
    pick, raw = random.Random(seed), tomllib.loads(text)
    for _ in range(pick.randint(1, 4)):
        container, key = pick.choice(_places(raw))
        if isinstance(container, dict) and pick.random() < 0.3:
            container.pop(key, None)
            container[pick.choice(["odd", "namw", "feed", "z"])] = deepcopy(pick.choice(ODD))
        elif isinstance(container, dict) or key < len(container):
            container[key] = deepcopy(pick.choice(ODD))
    try:
        value = parse(tomlkit.dumps(raw), "mine.toml")
    except KerfproofError as error:
        lines = str(error).removeprefix("mine.toml: ").splitlines()
        assert all(": " in line for line in (lines[1:] or lines))
        assert "Input should" not in str(error)
        assert "input should" not in str(error)
    else:
        assert parse(tomlkit.dumps(raw), "mine.toml") == value or "nan" in repr(value)


@pytest.mark.parametrize("kind", sorted(FILES))
def test_a_whole_file_is_read_without_complaint(kind: str) -> None:
    parse, text = FILES[kind]
    assert parse(text, "mine.toml") == parse(text, "mine.toml")


def test_a_key_that_stands_twice_is_told_by_its_line() -> None:
    with pytest.raises(KerfproofError, match=r"line 3, column \d+: this key stands in its section already .*kerf = 2"):
        read_toml("[a]\nkerf = 1\nkerf = 2\n", "x.toml")
