"""The pictures of the page on words are those that the script draws."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from kerfproof.report.picture.png import png
from kerfproof_app.shop.store import font_files

SCRIPT = runpy.run_path(str(Path(__file__).resolve().parents[2] / "scripts" / "word_pictures.py"))


@pytest.mark.parametrize("word", list(SCRIPT["WORDS"]))
def test_a_picture_is_as_the_script_draws_it(word: str) -> None:
    drawn = png(SCRIPT["svg"](word), zoom=1.0, font_files=font_files())
    assert (SCRIPT["OUT"] / f"{word}.png").read_bytes() == drawn


def test_there_is_no_picture_of_another_word() -> None:
    assert {path.stem for path in SCRIPT["OUT"].iterdir()} == set(SCRIPT["WORDS"])
