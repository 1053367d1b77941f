"""Every script that can be run tells what it does and does nothing when it is asked for help."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).resolve().parents[2] / "scripts"
RUN = {path.name for path in SCRIPTS.glob("*.py") if '__name__ == "__main__"' in path.read_text(encoding="utf-8")}
OF_THE_PROGRAM = {"run.py"}
"""Hands all its words on, help included."""


@pytest.mark.parametrize("name", sorted(RUN - OF_THE_PROGRAM))
def test_help_tells_what_a_script_does_and_runs_nothing(name: str, tmp_path: Path) -> None:
    asked = subprocess.run(
        [sys.executable, str(SCRIPTS / name), "--help"], cwd=tmp_path, capture_output=True, text=True, timeout=60
    )
    assert asked.returncode == 0 and asked.stdout.startswith("usage: "), asked.stderr
    first = (SCRIPTS / name).read_text(encoding="utf-8").split('"""')[1].split(".")[0]
    assert re.sub(r"\W", "", first)[:25] in re.sub(r"\W", "", asked.stdout)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("words", [["kinds=arc"], ["seed=x"], ["--cells"]])
def test_a_word_that_narrows_nothing_is_refused(words: list[str]) -> None:
    asked = subprocess.run(
        [sys.executable, str(SCRIPTS / "faults.py"), *words], capture_output=True, text=True, timeout=60
    )
    assert asked.returncode == 2 and asked.stdout == ""
