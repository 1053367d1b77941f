"""What a resumed program says of its first one can be read again, whatever the name."""

from __future__ import annotations

import pytest

from kerfproof.gcode.header_lines import heading_lines, read_heading
from kerfproof.resume.earlier_programs import GoesOn, read_goes_on


@pytest.mark.parametrize(
    "said",
    [
        GoesOn(name="first.nc", digest="0123abcd", wanted=(2, 3)),
        GoesOn(name="gate 4 cuts 2.nc", digest="ff", wanted=(17,), partly=17, at=35.125),
        GoesOn(name="Tür, links.nc", digest="0a", wanted=tuple(range(4, 90)), partly=5, at=0.5, never=(1, 3)),
    ],
)
def test_the_heading_tells_name_digest_cuts_and_place(said: GoesOn):
    lines = heading_lines([("resumed", said.words())])
    assert read_goes_on(read_heading(lines)["resumed"]) == said


@pytest.mark.parametrize("words", ["", "first.nc", "first.nc 0123 cuts", "first.nc xyz cuts 1", "a 0 cuts 1, cut x"])
def test_damaged_words_are_none(words: str):
    assert read_goes_on(words) is None
