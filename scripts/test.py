"""Check everything: ``python3 scripts/test.py [PYTEST ARGS...]``.

Form, lint, types, import contract, then the tests; stops at the first step that fails, with its exit code.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path

import qt_libraries
from environment import FOLDER, ROOT, SetupError, call, ensure, program_of, say


def steps(python: Path, extra: list[str]) -> list[tuple[str, list[str]]]:
    """Return the name and the command of each step in order; `extra` goes to pytest."""
    run = [str(python), "-m"]
    return [
        ("form", [*run, "ruff", "format", "--check", "."]),
        ("lint", [*run, "ruff", "check", "."]),
        ("types", [*run, "mypy"]),
        ("imports", [str(program_of(FOLDER, "lint-imports"))]),
        ("tests", [*run, "pytest", "-n", "2", "--durations", "10", *extra]),
    ]


def main() -> int:
    """Run all steps and return the exit code of the first that fails, 2 if the environment can't be made."""
    parser = argparse.ArgumentParser(description=__doc__, usage="test.py [-h] [PYTEST ARGS...]", allow_abbrev=False)
    _, to_pytest = parser.parse_known_args()
    os.chdir(ROOT)
    try:
        python = ensure("dev")
        qt_libraries.ensure(python)
    except SetupError as error:
        say(str(error))
        return 2
    environment = {**os.environ, "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen")}
    for name, command in steps(python, to_pytest):
        began = time.monotonic()
        say(f"checking {name}")
        code = call(command, environment)
        if code:
            say(f"{name}: failed after {time.monotonic() - began:.0f} s")
            return code
    say("all checks passed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
