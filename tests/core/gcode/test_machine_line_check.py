"""Lines that a machine file puts into every program, judged with its other mistakes.

M2 and M30 end a program: RS-274/NGC, NISTIR 6556, section 3.6.1. That a header may not light a torch is common
practice, no source.
"""

from __future__ import annotations

import pytest

import kerfproof_resources
from kerfproof.gcode.machine_line_check import read_machine
from kerfproof.shop.file_model import FileMistakes

TEXT = kerfproof_resources.machine_text("contact-float-mm")


def mistakes_of(text: str) -> tuple[str, ...]:
    with pytest.raises(FileMistakes) as caught:
        read_machine(text, "shed.toml")
    return caught.value.mistakes


def with_line(line: str) -> str:
    """Return the file with a key of the section [control] in another way."""
    key = line.split(" ")[0]
    kept = [old for old in TEXT.splitlines() if not old.removeprefix("# ").startswith(f"{key} =")]
    at = kept.index("[control]")
    return "\n".join([*kept[: at + 1], line, *kept[at + 1 :]])


@pytest.mark.parametrize("word", ["M2", "M30", "m30", "M 2", "M02", "M2 (the end)"])
def test_either_end_word_is_taken_in_any_spelling(word: str) -> None:
    assert read_machine(with_line(f'end_word = "{word}"'), "shed.toml").end_word == word


@pytest.mark.parametrize("word", ["END", "M3", "M0", "G0 Z10 M2", "", "M2 M30", "(M2)", "M#1", "%"])
def test_an_end_word_that_ends_nothing_is_refused_by_its_key(word: str) -> None:
    (mistake,) = mistakes_of(with_line(f'end_word = "{word}"'))
    assert mistake.startswith(f'control.end_word: "{word}" ends no program; write M2 or M30')


@pytest.mark.parametrize(
    ("line", "place", "says"),
    [
        ('header = ["M7", "M3 (light)"]', "control.header 2", "must not light the torch"),
        ('header = ["N10 M03"]', "control.header 1", "must not light the torch"),
        ('footer = ["S1000 M3"]', "control.footer 1", "must not light the torch"),
        ('header = ["coolant on"]', "control.header 1", "can't be read"),
        ('footer = ["M9", "G0 X"]', "control.footer 2", "can't be read"),
        ('header = ["(never closed"]', "control.header 1", "can't be read"),
        ('header = ["M30"]', "control.header 1", "ends the program too early"),
    ],
)
def test_own_lines_are_refused_by_key_and_number(line: str, place: str, says: str) -> None:
    (mistake,) = mistakes_of(with_line(line))
    assert mistake.startswith(f"{place}: ")
    assert says in mistake


@pytest.mark.parametrize("line", ['header = ["M7", "(air on)", "G10 L2 P1 (keep)", "M101"]', 'footer = ["M9"]'])
def test_lines_that_a_shop_may_want_are_taken(line: str) -> None:
    assert read_machine(with_line(line), "shed.toml")


def test_all_mistakes_of_a_file_are_told_at_once_whatever_finds_them() -> None:
    text = with_line('end_word = "STOP"').replace("header = []", 'header = ["M3"]')
    text = text.replace('\noff = "M5"', '\noff = "M9"').replace('units = "mm"', 'units = "yard"', 1)
    text = text.replace("[torch]", '[torch]\nlight_delya = "0.4 s"')
    keys = [mistake.partition(":")[0] for mistake in mistakes_of(text)]
    assert keys == ["control.units", "torch.light_delya", "torch.off", "control.end_word", "control.header 1"]


def test_an_unknown_dialect_is_one_mistake_among_others() -> None:
    text = with_line('dialect = "esperanto"').replace("[torch]", '[torch]\nlight_delya = "0.4 s"')
    keys = [mistake.partition(":")[0] for mistake in mistakes_of(text)]
    assert sorted(keys) == ["control.dialect", "torch.light_delya"]
