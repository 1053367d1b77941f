"""Lines of several words that switch the torch, and lines that wait for the arc: a part of one is not the line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.line_mistakes import line_mistakes
from support.faulty.faults import Subject
from support.shop.shop import built_in, cut, demo

ON, OFF = "M3 M64 P1", "M5 M65 P1"


@pytest.fixture(scope="module")
def two_words() -> Subject:
    return Subject(cut(demo("gusset"), replace(built_in(), torch_on=ON, torch_off=OFF)))


def found(subject: Subject, text: str) -> list[str]:
    return [f.rule for f in subject.prove(text).findings if f.severity == "error"]


def put(subject: Subject, old: str, new: str, which: int) -> str:
    parts = subject.text(subject.lines).split(f"\n{old}\n")
    assert len(parts) > which + 1
    return f"\n{old}\n".join(parts[: which + 1]) + f"\n{new}\n" + f"\n{old}\n".join(parts[which + 1 :])


@pytest.mark.parametrize("part", ["M3", "M64 P1", "M3 M64 P2", "M3\nM64 P2", "m64p[1]"])
@pytest.mark.parametrize("which", [0, 2])
def test_half_of_the_on_line_is_an_error(two_words, part, which):
    assert found(two_words, put(two_words, ON, part, which)) == ["on-word-incomplete"]


@pytest.mark.parametrize("part", ["M5", "M65 P1"])
@pytest.mark.parametrize("which", [2, 4])
def test_half_of_the_off_line_is_an_error(two_words, part, which):
    assert "on-word-incomplete" in found(two_words, put(two_words, OFF, part, which))


@pytest.mark.parametrize("part", ["M5", "M65 P1", "M65 P1\nM64 P1"])
def test_half_of_the_off_line_in_a_cut_is_an_error(two_words, part):
    head, arc, rest = two_words.text(two_words.lines).partition("\nG3 ")
    assert "on-word-incomplete" in found(two_words, f"{head}\n{part}{arc}{rest}")


@pytest.mark.parametrize("whole", ["M64 P1 M3", "M3\nM64 P1", "M64 P1\nM3", "N10 m3 m64 p1."])
def test_the_on_line_in_another_spelling_or_as_two_lines_is_right(two_words, whole):
    assert found(two_words, put(two_words, ON, whole, 1)) == []


WAITS = ["M66 P0 L3 Q2", "M66 P1 L1 Q0.5", "M66 P3 L4 Q10", "m66p2l2q1", "M103", "M110 P1"]
NO_WAITS = [
    "M9", "M0", "M3", "G4 P0", "G4 P1", "M66", "M66 P0", "M66 P0 L0", "M66 P0 L3", "M66 P0 L3 Q0", "M66 E0 L0 Q1",
    "M66 L3 Q1", "M66 P0 L5 Q1", "M64 P1", "M99", "G1 Z1", "M98 P1", "X1", "(wait)",
]  # fmt: skip


@pytest.mark.parametrize("line", WAITS + NO_WAITS)
def test_a_line_that_waits_for_the_arc_waits_for_an_input_or_is_a_word_of_the_machine(line):
    machine = replace(built_in(), arc_wait=line)
    told = line_mistakes(machine, control_of(machine))
    assert [m.key for m in told] == ([] if line in WAITS else ["torch.arc_wait"])
    assert all("does not wait for the arc" in m.what and m.advice for m in told)
