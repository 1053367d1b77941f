"""Check everything: ``python3 scripts/test.py [--quick] [PYTEST ARGS...]``.

Form, lint, types, import contract, then the tests; stops at the first step that fails, with its exit code. With
``--quick`` only a fast share of the tests runs, for the time between two changes, and what is left out is told.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path

import qt_libraries
from environment import FOLDER, ROOT, SetupError, call, ensure, program_of, say

QUICK = (
    "tests/core/drawing",
    "tests/core/gcode",
    "tests/core/geom",
    "tests/core/job",
    "tests/core/parts",
    "tests/core/shop",
    "tests/core/proof/test_checks.py",
    "tests/core/proof/test_rule_page.py",
    "tests/core/proof/test_rules.py",
    "tests/core/test_units.py",
    "tests/golden",
)
"""From drawing to program text, the examples of all rules, and the programs that must come out byte for byte."""


def quick() -> list[str]:
    """Return what goes to pytest for the fast share of the tests."""
    return ["-m", "not slow", *QUICK]


def left_out() -> list[str]:
    """Return the folders of tests, and the files right in ``tests/core``, of which not all is in the fast share."""
    tests = Path("tests")
    places = {path for folder in (tests, tests / "core") for path in folder.iterdir() if any(path.rglob("test_*.py"))}
    places |= set((tests / "core").glob("test_*.py"))
    names = sorted(path.as_posix() for path in places - {tests / "core"})
    most = [f"most of {name}" if any(one.startswith(f"{name}/") for one in QUICK) else name for name in names]
    return [told for name, told in zip(names, most, strict=True) if name not in QUICK]


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
    parser = argparse.ArgumentParser(
        description=__doc__, usage="test.py [-h] [--quick] [PYTEST ARGS...]", allow_abbrev=False
    )
    parser.add_argument("--quick", action="store_true", help="only a fast share of the tests")
    asked, to_pytest = parser.parse_known_args()
    os.chdir(ROOT)
    try:
        python = ensure("dev")
        qt_libraries.ensure(python)
    except SetupError as error:
        say(str(error))
        return 2
    environment = {**os.environ, "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen")}
    if asked.quick:
        to_pytest = [*quick(), *to_pytest]
    for name, command in steps(python, to_pytest):
        began = time.monotonic()
        say(f"checking {name}")
        code = call(command, environment)
        if code:
            say(f"{name}: failed after {time.monotonic() - began:.0f} s")
            return code
    if asked.quick:
        say(f"quick checks passed; left out: tests marked slow, {', '.join(left_out())}")
    else:
        say("all checks passed")
    return 0


if __name__ == "__main__":
    sys.exit(main())
