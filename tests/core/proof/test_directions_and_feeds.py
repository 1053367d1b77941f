"""The way round of a cut, feeds that were left from a height move, and spindle words with speed zero."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from support.faulty.faults import Subject
from support.shop.shop import DEMOS, built_in, cut, demo


@pytest.fixture(scope="module")
def gusset() -> Subject:
    return Subject(cut(demo("gusset")))


def told(subject: Subject, text: str, loose: bool = False) -> list[tuple[str, str]]:
    return [(f.rule, f.severity.value) for f in subject.prove(text, loose=loose).findings if f.severity.value != "note"]


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("clockwise", [True, False])
def test_our_own_programs_are_cut_the_right_way_round_and_one_for_the_other_swirl_is_told_once(name, clockwise):
    subject = Subject(cut(demo(name), replace(built_in(), swirl_clockwise=clockwise)))
    text = subject.text(subject.lines)
    for drawn in (None, ((), ())):
        assert "cut-direction" not in {f.rule for f in subject.prove(text, drawn=drawn).findings}
        other = replace(built_in(), swirl_clockwise=not clockwise)
        found = [f for f in subject.prove(text, other, drawn=drawn).findings if f.rule == "cut-direction"]
        assert [f.severity.value for f in found] == ["warning"]


def without_feeds(subject: Subject, height: str) -> str:
    """Return a program whose cuts state no feed, and whose last height move before each states `height`."""
    lines = [re.sub(r"^(G[123] .*?) F[\d.]+$", r"\1", k) if "Z" not in k else k for k in subject.lines]
    at = [k for k, line in enumerate(lines) if line.startswith("G1 Z1.5 F")]
    for k in at:
        lines[k] = f"G1 Z1.5 F{height}"
    return subject.text(lines)


def test_a_feed_that_is_right_by_the_chart_is_no_error_wherever_it_stands(gusset):
    assert "feed-left-from-height-move" not in {rule for rule, _ in told(gusset, without_feeds(gusset, "2200"))}
    for wrong in ("900", "1800", "2600"):
        assert ("feed-left-from-height-move", "error") in told(gusset, without_feeds(gusset, wrong))
    slowed = [line for line in without_feeds(gusset, "1320").split("\n")]
    found = [f for f in gusset.prove("\n".join(slowed)).findings if f.rule == "feed-left-from-height-move"]
    assert found and "1320" in found[-1].message, "right in the round holes, wrong on the outline"
    assert len(found) < len(gusset.blocks())


@pytest.mark.parametrize("word", ["M3 S0", "S0\nM3", "M3\nS0"])
def test_speed_zero_with_the_spindle_word_is_told(gusset, word):
    text = gusset.text(gusset.lines)
    assert told(gusset, text.replace("\nM3\n", f"\n{word}\n", 1)) == [("on-word-incomplete", "warning")]
    assert told(gusset, text.replace("\nM3\n", "\nM3 S1000\n", 1)) == []


def test_speed_zero_in_a_cut_is_told(gusset):
    text = gusset.text(gusset.lines).replace("\nG3 ", "\nS0\nG3 ", 1)
    assert told(gusset, text) == [("on-word-incomplete", "warning")]


def test_speed_zero_says_nothing_where_an_output_lights_the_torch():
    subject = Subject(cut(demo("gusset"), replace(built_in(), torch_on="M64 P0", torch_off="M65 P0")))
    assert told(subject, "S0\n" + subject.text(subject.lines)) == []
