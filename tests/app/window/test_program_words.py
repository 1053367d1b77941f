from __future__ import annotations

from dataclasses import replace

from kerfproof_app.window.program.word_kinds import ROLES, WordReader
from support.shop import shop


def roles(line: str, reader: WordReader | None = None) -> list[tuple[str, str]]:
    return [(line[w.start : w.end], w.role) for w in (reader or WordReader()).words(line)]


def test_words_are_told_apart_by_what_they_do() -> None:
    assert roles("G0 X1 Y-2.5") == [("G0", "travel"), ("X1", "place"), ("Y-2.5", "place")]
    assert roles("g3 x1 i0 j-3.5 f2200") == [
        ("g3", "cut"), ("x1", "place"), ("i0", "place"), ("j-3.5", "place"), ("f2200", "pace"),
    ]  # fmt: skip
    assert roles("G38.2 Z-84 F1000") == [("G38.2", "touch"), ("Z-84", "height"), ("F1000", "pace")]
    assert roles("G92 Z-19") == [("G92", "touch"), ("Z-19", "height")]
    assert roles("G4 P0.4") == [("G4", "wait"), ("P0.4", "wait")]
    assert roles("M5") == [("M5", "torch")]
    assert roles("M0") == [("M0", "stop")]
    assert roles("M30 (the end)") == [("M30", "stop"), ("(the end)", "comment")]
    assert roles("#102=SQRT[4-ABS[#101+44]]") == [("#102=SQRT[4-ABS[#101+44]]", "formula")]
    assert roles("G1 Z[#101+2] F600")[1] == ("Z[#101+2]", "formula")
    assert roles("; all of it") == [("; all of it", "comment")]


def test_leading_zeros_change_nothing() -> None:
    assert [role for _, role in roles("G01 X1 M03")] == ["cut", "place", "torch"]


def test_the_machine_says_which_word_lights_its_torch() -> None:
    reader = WordReader(replace(shop.built_in(), torch_on="M64 P0", torch_off="M65 P0"))
    assert roles("M64 P0", reader)[0] == ("M64", "torch")
    assert roles("M3", reader)[0] == ("M3", "state")


def test_every_word_of_our_programs_is_coloured() -> None:
    text = shop.cut(shop.demo("sluice-sheet")).program.text
    for line in text.splitlines():
        covered = "".join(line[w.start : w.end] for w in WordReader().words(line))
        assert covered.replace(" ", "") == line.replace(" ", ""), line
        assert all(w.role in ROLES for w in WordReader().words(line))


def test_a_line_of_rubbish_is_no_trouble() -> None:
    assert isinstance(roles("((( [[ ### \x00 é % /"), list)
