"""Texts that are no programs, and programs that try to exhaust the reader: a finding, bounded work, no traceback."""

from __future__ import annotations

import random

import pytest

from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.proof.evidence import stock
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.shop.known_plate import MACHINE, PLATE, PROCESS, drawn, program

GOOD = program(DIALECT)
END = "M2\n"
assert GOOD.endswith(END)


def proof_of(text: str) -> Proof:
    return prove(text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), plate=PLATE))


def rules(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings}


def with_line(line: str) -> Proof:
    return proof_of(GOOD.removesuffix(END) + line + "\n" + END)


LINES = {
    "garbage": "%$&/()=?`garbage",
    "a megabyte of digits": "G1 X" + "1" * 1_000_000,
    "a megabyte of words": "G1" + " X1" * 350_000,
    "brackets without end": "G1 X" + "[" * 100_000 + "1" + "]" * 100_000,
    "parameters of parameters": "#1=" + "#" * 100_000 + "1",
    "brackets within the limit of a line": "#1=" + "[" * 120 + "1" + "]" * 120,
    "a null byte": "G1 X1\x00",
}


@pytest.mark.parametrize("name", LINES)
def test_a_line_that_no_control_reads_is_a_finding_at_its_place(name: str):
    proof = with_line(LINES[name])
    found = [f for f in proof.findings if f.line == GOOD.count("\n")]
    assert found and not proof.ok
    assert all(len(f.message) < 300 for f in found), "the line itself is not repeated"


def test_a_binary_file_is_not_proven():
    proof = proof_of(random.Random(1).randbytes(300_000).decode("latin-1"))
    assert not proof.ok and "unreadable-text" in rules(proof)
    assert len(proof.findings) < 200


def test_a_long_loop_of_parameters_runs_to_its_end_and_is_played_in_part():
    proof = proof_of("#1=1\n" + "#1=[#1+1]\n" * 60_000 + GOOD)
    assert proof.ok and rules(proof) == {"played-in-part"}


def test_a_parameter_that_names_itself_is_read_once():
    proof = with_line("#1=#1\n#2=##1\n#3=###2")
    assert not proof.ok and any("there is no parameter #0" in f.message for f in proof.findings)


@pytest.mark.slow
def test_a_very_long_program_is_proven_like_a_short_one():
    travel = "G0 X1 Y1\nG0 X2 Y2\n" * 50_000
    proof = proof_of(GOOD.removesuffix(END) + travel + END)
    assert proof.verdict == "PROVEN" and proof.trace.lines > 100_000


def test_a_scribble_on_one_spot_is_told_as_one(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(stock, "MOST_PAIRS", 60_000)
    lit = "M3\nG4 P0.4\nF1000\n" + "G1 X1 Y1\nG1 X2 Y2\n" * 500 + "M5\n"
    proof = proof_of(GOOD.removesuffix(END) + lit + END)
    assert "path-too-crowded" in rules(proof) and not proof.ok


@pytest.mark.parametrize("text", ["\r\n" * 1000, "(" * 1000, "/" * 300 + "\n", "%" * 300, "N" * 200, "\ufeffG21\nM2\n"])
def test_odd_texts_get_a_verdict(text: str):
    assert not proof_of(text).ok
