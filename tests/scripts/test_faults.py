"""The table of planted faults: what is counted, and how it is narrowed."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "faults.py"


def loaded() -> ModuleType:
    spec = importlib.util.spec_from_file_location("faults_script", SCRIPT)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_verdicts_are_counted_by_kind_program_spelling_and_block(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["kind=torch on dropped", "program=two copies", "spelling=ours", "spelling=lower case", "seed=3", "seed=4"]
    assert loaded().main(words) == 0
    out = capsys.readouterr().out
    assert out.startswith("1 kinds, 1 programs, 2 spellings, seeds [3, 4]\n")
    for name in ("torch on dropped", "two copies"):
        assert re.search(rf"^{name} +4 +0 +0 +4 +0 +0 +0$", out, re.MULTILINE)
    assert re.search(r"^lower case +2 +0 +0 +2 +0 +0 +0$", out, re.MULTILINE)
    assert re.search(r"^0 silent or unequal; \d+ s$", out, re.MULTILINE)


def test_what_a_program_does_not_hold_is_counted_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert loaded().main(["kind=rest dropped", "program=two copies", "spelling=ours", "cells"]) == 0
    assert re.search(r"^rest dropped +0 +1 +0 +0 +0 +0 +0$", capsys.readouterr().out, re.MULTILINE)


def test_by_turns_every_other_spelling_comes_once() -> None:
    script = loaded()
    names = [script.OURS, "one", "two", "three"]
    told = [script.by_turns(names, turn) for turn in range(3)]
    assert [pair[0] for pair in told] == [script.OURS] * 3
    assert sorted(pair[1] for pair in told) == ["one", "three", "two"]
