from __future__ import annotations

import runpy
from pathlib import Path

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "letters.py"


def test_the_built_in_letters_are_those_of_the_font_in_the_resources() -> None:
    script = runpy.run_path(str(SCRIPT))
    assert script["TARGET"].read_text(encoding="ascii") == script["module"]()
