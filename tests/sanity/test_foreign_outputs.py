"""Lines of the machine file and plain text in other people's spelling: the proof judges what they do."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kerfproof.errors import Severity
from kerfproof.proof.proof import Proof
from support.programs.foreign_styles import STYLES, Program

PLAIN = "plain, one slow touch"
HEIGHT = "pilot arc on a floating head, height control on M64, inches"
GUARDED = "guards in numbered blocks: the search went down, and not below the last height"


def right(name: str) -> Program:
    return STYLES[name]().program()


def errors(proof: Proof) -> list[str]:
    return [f.sentence() for f in proof.findings if f.severity is Severity.ERROR]


@pytest.mark.parametrize(
    ("on", "off"), [("M64 P2", "M65 P2"), ("M62 P2", "M63 P2"), ("M67 E0 Q1", "M67 E0 Q0"), ("M68 E0 Q1", "M68 E0 Q0")]
)
def test_height_control_may_hang_on_any_output(on: str, off: str):
    plain = right(HEIGHT)
    machine = replace(plain.machine, height_control_on=on, height_control_off=off)
    text = plain.text.replace("M64 P2", on).replace("M65 P2", off)
    assert errors(replace(plain, text=text, machine=machine).proof()) == []
    left_on = text.replace(f"{off}\nM5", "M5")
    assert left_on != text
    found = {f.rule for f in replace(plain, text=left_on, machine=machine).proof().findings}
    assert "height-control-left-on" in found


def test_other_outputs_and_inputs_may_be_switched_while_it_burns():
    plain = right(HEIGHT)
    text = plain.text.replace("M64 P2\n", "M64 P3\nM64 P2\n").replace("M65 P2\nM5", "M65 P3\nM65 P2\nM5")
    assert errors(replace(plain, text=text).proof()) == []


@pytest.mark.parametrize("spelling", ["M64 P0", "m64p0", "M064 P0", "M64 P0.", "M64 P00", "P0 M64"])
@pytest.mark.parametrize("numbered", [False, True])
def test_a_torch_on_an_output_is_seen_however_its_line_is_spelled(spelling: str, numbered: bool):
    made = right("outputs for the torch, blocks numbered in ones")
    text = made.text.replace("M64 P0", spelling)
    if not numbered:
        text = re.sub(r"(?m)^N\d+ ", "", text)
    proof = replace(made, text=text).proof()
    assert errors(proof) == [] and len(proof.runs) == 4


@pytest.mark.parametrize("end", ["\x0c", "\x0b", "\x1c", "\x85", "\u2028"])
def test_a_comment_may_hold_what_some_take_for_the_end_of_a_line(end: str):
    plain = right(PLAIN)
    said = replace(plain, text=plain.text.replace("M0\n", f"(sheet{end}one)\nM0\n"))
    assert errors(said.proof()) == []
    slip = said.text.replace("G1 Z1.5 F900", "G1 Z15 F900", 1)
    told = [f for f in replace(said, text=slip).proof().findings if f.severity is Severity.ERROR]
    line = slip.split("\n").index("G1 Z15 F900") + 1
    assert any(f.rule == "cut-height-out-of-band" for f in told)
    assert all(f.line is None or f.line >= line for f in told), "lines are counted as the control counts them"


def test_numbers_before_guards_change_nothing():
    numbered = right(GUARDED)
    bare = replace(numbered, text=re.sub(r"(?m)^N\d+ ", "", numbered.text))
    assert [(f.rule, f.severity, f.line) for f in numbered.proof().findings] == [
        (f.rule, f.severity, f.line) for f in bare.proof().findings
    ]
    for made in (numbered, bare):
        lines = [line for line in made.text.split("\n") if "#7=" not in line]
        told = [
            f for f in replace(made, text="\n".join(lines)).proof().findings if f.rule == "touch-off-miss-unguarded"
        ]
        assert len(told) == 1 and "a stuck switch" in told[0].message


def test_numbers_before_the_lines_of_an_ohmic_circuit_change_nothing():
    plain = right("ohmic touch on a fixed head, contact start, lower case")
    numbered = "".join(f"n{k}{line}\n" for k, line in enumerate(plain.text.splitlines(), 1))
    assert errors(replace(plain, text=numbered).proof()) == []
    left = replace(plain, text=numbered.replace("m9\n", "m49\n", 1)).proof()
    assert {f.rule for f in left.findings} >= {"sense-left-connected"}


OUTPUT = "outputs for the torch, blocks numbered in ones"


def waiting(nudge: float) -> Program:
    """Return a program whose torch hangs on words that wait for a motion, with a nudge along Z behind each."""
    made, out, z = right(OUTPUT), [], "0"
    for line in re.sub(r"(?m)^N\d+ ", "", made.text).split("\n"):
        z = next(iter(re.findall(r"Z(-?[\d.]+)", line)), z)
        word = {"M64 P0": "M62 P0", "M65 P0": "M63 P0"}.get(line) if out else None  # at once at the top
        out += [word, f"G1 Z{float(z) + nudge:.3f} F900"] if word and nudge else [word or line]
    return replace(made, text="\n".join(out))


def test_a_torch_on_words_that_wait_is_right_where_the_program_nudges_z_behind_them():
    proof = waiting(0.02).proof()
    assert errors(proof) == [] and len(proof.runs) == 4
    assert "torch-switched-late" in {f.rule for f in proof.findings}, "the machine file's words act at once"


@pytest.mark.parametrize("nudge", [0.0, 0.2])
def test_a_torch_that_lights_as_it_moves_off_is_an_error(nudge: float):
    found = {f.rule for f in waiting(nudge).proof().findings if f.severity is Severity.ERROR}
    assert found >= {"torch-switched-late", "light-delay-short"}


def test_an_off_word_that_waits_where_the_program_stops_is_an_error():
    made = right(OUTPUT)
    text = re.sub(r"(?m)^N\d+ ", "", made.text).replace("M65 P0\nG4 P0.4", "M63 P0\nM0\nG4 P0.4")
    found = {f.rule for f in replace(made, text=text).proof().findings if f.severity is Severity.ERROR}
    assert found >= {"torch-switched-late", "stop-with-torch-on"}


@pytest.mark.parametrize(("on", "off"), [("hello", "M65 P0"), ("M64 P0", "M65 P1"), ("M62 P0", "M63 P0")])
def test_no_program_is_proven_for_a_machine_whose_torch_words_say_nothing(on: str, off: str):
    made = right(OUTPUT)
    text = re.sub(r"(?m)^N\d+ ", "", made.text).replace("M64 P0", on).replace("M65 P0", off)
    machine = replace(made.machine, torch_on=on, torch_off=off)
    found = {f.rule for f in replace(made, text=text, machine=machine).proof().findings if f.severity is Severity.ERROR}
    assert "machine-words-unclear" in found
