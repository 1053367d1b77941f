"""The table of planted faults: what is counted, and how it is narrowed."""

from __future__ import annotations

import importlib.util
import re
from collections import Counter
from itertools import islice
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


def test_a_lot_deals_kinds_programs_and_spellings_evenly_and_is_all_in_its_seed() -> None:
    script = loaded()
    kinds, names, spellings = tuple("abcdefg"), tuple("123"), tuple("wxyz")

    def some(seed: int) -> list[tuple[str, ...]]:
        return list(islice(script.drawn(kinds, names, spellings, seed), 84))

    for place, all_of in enumerate((kinds, names, spellings)):
        counts = Counter(cell[place] for cell in some(1))
        assert set(counts) == set(all_of) and len(set(counts.values())) == 1
    assert len(set(some(1))) > 40, "not the same pairs again and again"
    assert some(1) == some(1) != some(2)


def test_a_share_is_judged_by_lot(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["kind=torch on dropped", "kind=rest dropped", "program=flange", "--share", "1/20", "--seed", "5"]
    assert loaded().main(words) == 0
    out = capsys.readouterr().out
    cells = int(re.findall(r"(\d+) cells by lot 5\n", out)[0])
    assert f"\n{cells} of {cells} cells\n" in out
    judged = [line.split() for line in out.split("program ")[0].splitlines() if "dropped " in line]
    assert sum(int(row[-7]) + int(row[-5]) for row in judged) == cells, "each cell was planted or can't be spelled so"


def test_the_time_ends_a_lot_and_what_is_no_share_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert loaded().main(["kind=torch on dropped", "--minutes", "0"]) == 0
    assert re.search(r"^0 of \d+ cells$", capsys.readouterr().out, re.MULTILINE)
    for wrong in ("0", "2", "1/0", "half"):
        with pytest.raises(SystemExit):
            loaded().main(["--share", wrong])
