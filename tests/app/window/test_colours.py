from __future__ import annotations

from itertools import pairwise

import pytest

from kerfproof_app.window.widgets import theme
from kerfproof_app.window.widgets.color_ramp import ramp
from kerfproof_app.window.widgets.tones import _WORDS_DARK, _WORDS_LIGHT, Tones
from support.app.color_sight import EYES, contrast, lab_of, linear


@pytest.mark.parametrize("eye", EYES)
def test_time_grows_lighter_all_the_way_for_every_eye(eye: str) -> None:
    light = [lab_of(EYES[eye] @ linear(colour.name()))[0] for colour in ramp()]
    assert all(after > before - 0.2 for before, after in pairwise(light))
    assert light[-1] - light[0] > 30


@pytest.mark.parametrize("dark", [False, True])
def test_the_words_of_a_program_can_be_read_on_every_line(dark: bool) -> None:
    tones = Tones(dark)
    for name in _WORDS_DARK if dark else _WORDS_LIGHT:
        for ground in (tones.field, tones.present):
            assert contrast(tones.word(name).name(), ground.name()) >= 4.5, (name, ground.name())


@pytest.mark.parametrize("dark", [False, True])
def test_what_the_palette_writes_can_be_read(dark: bool) -> None:
    palette = theme.palette(dark)
    for ink, ground in (
        (palette.windowText(), palette.window()), (palette.text(), palette.base()), (palette.link(), palette.base()),
        (palette.buttonText(), palette.button()), (palette.highlightedText(), palette.highlight()),
        (palette.placeholderText(), palette.base()), (palette.toolTipText(), palette.toolTipBase()),
    ):  # fmt: skip
        assert contrast(ink.color().name(), ground.color().name()) >= 4.5, (ink.color().name(), ground.color().name())
