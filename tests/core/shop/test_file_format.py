"""The key ``format`` of all files of a shop: computed here, there is no outside source."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

import kerfproof_resources
from kerfproof.errors import FileBroken
from kerfproof.job.job_file import job_schema, parse_job, write_job
from kerfproof.shop.chart_file import chart_schema, parse_chart
from kerfproof.shop.machine_file import machine_schema, machine_to_toml, parse_machine
from kerfproof_app.batch.folder_settings import parse_settings
from kerfproof_app.shop import defaults, store

MACHINE = kerfproof_resources.machine_text("contact-float-mm")
CHART = kerfproof_resources.chart_text("air-50a")
JOB = """format = 1
machine = "a"
chart = "b"
material = "mild steel"
thickness = "3 mm"

[[drawing]]
name = "x.dxf"
"""


def _settings(text: str, where: str) -> defaults.Settings:
    store.make_folder(store.config_folder())
    store.write_bytes(store.config_folder() / "settings.toml", text.encode())
    return defaults.settings()


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))


READERS: list[tuple[Callable[[str, str], object], str]] = [
    (parse_machine, MACHINE),
    (parse_chart, CHART),
    (parse_job, JOB),
    (parse_settings, 'format = 1\nmaterial = "mild steel"\n'),
    (_settings, 'format = 1\nmaterial = "mild steel"\n'),
]


@pytest.mark.parametrize(("read", "text"), READERS)
def test_a_file_without_its_format_is_read_as_one_with_it(read: Callable[[str, str], object], text: str) -> None:
    assert "\nformat = 1\n" in f"\n{text}"
    assert read(text.replace("format = 1\n", ""), "file.toml") == read(text, "file.toml")


@pytest.mark.parametrize(("read", "text"), READERS)
def test_a_file_of_a_newer_one_is_refused_whatever_else_is_in_it(read: Callable[[str, str], object], text: str) -> None:
    newer = text.replace("format = 1\n", 'format = 2\nkey_of_tomorrow = "x"\n')
    with pytest.raises(FileBroken, match=r"file\.toml|settings\.toml") as caught:
        read(newer, "file.toml")
    assert "made by a newer Kerfproof (format 2, this one reads 1)" in str(caught.value)
    assert "key_of_tomorrow" not in str(caught.value)


@pytest.mark.parametrize("number", ['"1"', "0", "-3", "true", "1.0"])
@pytest.mark.parametrize(("read", "text"), READERS)
def test_a_format_that_is_no_whole_number_is_a_mistake(
    read: Callable[[str, str], object], text: str, number: str
) -> None:
    with pytest.raises(FileBroken, match="format: must be 1, without quotes"):
        read(text.replace("format = 1\n", f"format = {number}\n"), "file.toml")


def test_whatever_is_written_says_its_format() -> None:
    job = parse_job(JOB.replace("format = 1\n", ""), "job")
    written = [
        machine_to_toml(parse_machine(MACHINE, "machine")),
        write_job(job),
        write_job(job, JOB.replace("format = 1\n", "").replace("3 mm", "4 mm")),
        store.write_shop_file("charts", "mine", CHART.replace("format = 1\n", "")).read_text(),
        defaults.set_settings(machine="contact-float-mm").read_text(),
    ]
    assert [tomllib.loads(text)["format"] for text in written] == [1] * len(written)


def test_the_built_in_files_say_their_format() -> None:
    texts = [kerfproof_resources.machine_text(name) for name in kerfproof_resources.machine_names()]
    texts += [kerfproof_resources.chart_text(name) for name in kerfproof_resources.chart_names()]
    assert {tomllib.loads(text)["format"] for text in texts} == {1}


@pytest.mark.parametrize("schema", [machine_schema, chart_schema, job_schema])
def test_editors_know_the_key(schema: Callable[[], dict[str, object]]) -> None:
    properties = schema()["properties"]
    assert isinstance(properties, dict)
    assert properties["format"]["maximum"] == 1
    assert next(iter(properties)) == "format"
