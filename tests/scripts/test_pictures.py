from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_the_pictures_of_the_readme_are_there_and_small_and_none_is_left_over() -> None:
    named = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    there = (ROOT / "resources" / "kerfproof_resources" / "pictures").iterdir()
    assert sorted(named) == sorted(path.relative_to(ROOT).as_posix() for path in there if path.is_file())
    assert all((ROOT / name).stat().st_size < 200_000 for name in named)
