"""The pictures of the page on words are those that the script draws."""

from __future__ import annotations

import pytest

import word_pictures
from kerfproof.report.picture.png import png
from kerfproof_app.shop.store import font_files


@pytest.mark.parametrize("word", word_pictures.WORDS)
def test_a_picture_is_as_the_script_draws_it(word: str) -> None:
    drawn = png(word_pictures.svg(word), zoom=1.0, font_files=font_files())
    assert (word_pictures.OUT / f"{word}.png").read_bytes() == drawn


def test_there_is_no_picture_of_another_word() -> None:
    assert {path.stem for path in word_pictures.OUT.iterdir()} == set(word_pictures.WORDS)
