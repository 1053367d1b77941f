"""The numbers of product lines: what counts as a line, and that the sum is that of the rows."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "count_lines.py"


def load():
    spec = importlib.util.spec_from_file_location("count_lines", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_blank_lines_and_comments_never_count_and_docstrings_only_in_the_second_number():
    text = '"""Title.\n\nMore.\n"""\n\n# why\nX = 1  # one\n"""What X is."""\n\n\n'
    text += 'def f():\n    """Do it."""\n    return """a\n\nb"""\n'
    assert load().lines_of(text) == (4, 9)


def test_a_conditional_expression_and_a_lambda_hold_no_docstring():
    assert load().lines_of("f = lambda: 'a'\ng = 1 if f else 2\n") == (2, 2)


def test_rows_are_packages_and_add_up():
    told = subprocess.run([sys.executable, str(SCRIPT)], capture_output=True, text=True, check=True).stdout.splitlines()
    rows = [line.split() for line in told[1:]]
    assert {"core/kerfproof/gcode", "app/kerfproof_app/cli", "all"} <= {row[0] for row in rows}
    for column in (1, 2):
        assert sum(int(row[column]) for row in rows[:-1]) == int(rows[-1][column])
    assert all(0 < int(row[1]) <= int(row[2]) for row in rows if row[0] != "resources/kerfproof_resources")


def test_a_folder_that_is_not_there_is_refused():
    asked = subprocess.run([sys.executable, str(SCRIPT), "nowhere"], capture_output=True, text=True)
    assert asked.returncode == 2 and "nowhere" in asked.stderr
