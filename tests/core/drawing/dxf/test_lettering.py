"""Letters as outlines, measured against the font file by its own library."""

from __future__ import annotations

import io
import math
from pathlib import Path as FilePath

import numpy as np
import pytest
from ezdxf.enums import MTextEntityAlignment as Corner
from ezdxf.enums import TextEntityAlignment as Align
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont

from kerfproof.drawing.drawing import Drawing
from kerfproof.errors import Severity
from support.drawings.drawings import drawn

FONT = FilePath(__file__).resolve().parents[4] / "resources" / "kerfproof_resources" / "fonts" / "DejaVuSans.ttf"
CAPITAL = 1493
"""Height of H in the font's units, as the font says."""


@pytest.fixture(scope="module")
def font() -> TTFont:
    return TTFont(io.BytesIO(FONT.read_bytes()))


def box(drawing: Drawing) -> np.ndarray:
    bounds = drawing.bounds()
    assert bounds is not None
    return np.array(bounds)


def lettered(draw) -> Drawing:
    drawing = drawn(draw, text=True)
    assert drawing.entity_count == len(drawing.entities) + len(drawing.skipped)
    assert all(e.kind == "TEXT" and e.path is not None and e.path.closed for e in drawing.entities)
    return drawing


def width_of(font: TTFont, text: str) -> float:
    """Return the sum of the advances, in heights of H."""
    return sum(font["hmtx"][font.getBestCmap()[ord(letter)]][0] for letter in text) / CAPITAL


@pytest.mark.parametrize("letter", "OB8g%Äß")
def test_a_letter_has_the_contours_area_and_place_of_the_font(font: TTFont, letter: str) -> None:
    drawing = lettered(lambda d, s: s.add_text(letter, height=30).set_placement((100, 50)))
    name = font.getBestCmap()[ord(letter)]
    pen = AreaPen(font.getGlyphSet())
    font.getGlyphSet()[name].draw(pen)
    scale = 30 / CAPITAL
    # The font's outlines run clockwise, the contours in them the other way.
    area = sum(e.path.area() for e in drawing.entities)  # type: ignore[union-attr]
    assert area == pytest.approx(pen.value * scale**2, rel=1e-3)
    glyph = font["glyf"][name]
    corners = np.array([glyph.xMin, glyph.yMin, glyph.xMax, glyph.yMax]) * scale + [100, 50, 100, 50]
    assert box(drawing) == pytest.approx(corners, abs=0.02)


def test_without_being_asked_texts_are_only_listed() -> None:
    drawing = drawn(lambda d, s: [s.add_text("A"), s.add_mtext("B")])
    assert not drawing.entities and sorted(s.kind for s in drawing.skipped) == ["MTEXT", "TEXT"]


def test_a_text_stands_as_it_is_aligned(font: TTFont) -> None:
    wide = width_of(font, "HH") * 10

    def at(align: Align, to=None) -> np.ndarray:
        return box(lettered(lambda d, s: s.add_text("HH", height=10).set_placement((0, 0), to, align=align)))

    left = at(Align.LEFT)
    assert (left[1], left[3]) == pytest.approx((0, 10), abs=1e-6)
    assert at(Align.RIGHT) == pytest.approx(left - [wide, 0, wide, 0], abs=1e-6)
    assert at(Align.CENTER) == pytest.approx(left - [wide / 2, 0, wide / 2, 0], abs=1e-6)
    assert at(Align.TOP_LEFT) == pytest.approx(left - [0, 10, 0, 10], abs=1e-6)
    fit = at(Align.FIT, (2 * wide, 0))
    assert fit == pytest.approx(left * [2, 1, 2, 1], abs=1e-6)
    assert at(Align.ALIGNED, (2 * wide, 0)) == pytest.approx(left * 2, abs=1e-6)


def test_a_text_is_turned_narrowed_mirrored_and_placed_by_blocks_and_units() -> None:
    plain = box(lettered(lambda d, s: s.add_text("H", height=10)))
    turned = box(lettered(lambda d, s: s.add_text("H", height=10, rotation=90)))
    assert turned == pytest.approx([-plain[3], plain[0], -plain[1], plain[2]], abs=1e-6)
    narrow = box(lettered(lambda d, s: s.add_text("H", height=10, dxfattribs={"width": 0.5})))
    assert narrow == pytest.approx(plain * [0.5, 1, 0.5, 1], abs=1e-6)
    flipped = box(lettered(lambda d, s: s.add_text("H", height=10, dxfattribs={"extrusion": (0, 0, -1)})))
    assert flipped == pytest.approx([-plain[2], plain[1], -plain[0], plain[3]], abs=1e-6)

    def in_a_block(document, space) -> None:
        document.blocks.new("B").add_text("H", height=10)
        space.add_blockref("B", (5, 7), dxfattribs={"xscale": 2, "yscale": 2})

    assert box(lettered(in_a_block)) == pytest.approx(plain * 2 + [5, 7, 5, 7], abs=1e-6)


def test_lines_of_a_longer_text_follow_each_other_and_break_at_its_width(font: TTFont) -> None:
    def longer(corner: Corner, width: float = 0.0) -> np.ndarray:
        def draw(document, space) -> None:
            text = space.add_mtext("HH HH\\PH", dxfattribs={"char_height": 9, "width": width})
            text.set_location((0, 0), attachment_point=corner)

        return box(lettered(draw))

    side = font["hmtx"]["H"][1] / CAPITAL * 9
    wide = width_of(font, "HH HH") * 9
    assert longer(Corner.TOP_LEFT) == pytest.approx([side, -9 - 15, wide - side, 0], abs=0.02)
    assert longer(Corner.BOTTOM_RIGHT) == pytest.approx([side - wide, 0, -side, 24], abs=0.02)
    assert longer(Corner.MIDDLE_CENTER)[[1, 3]] == pytest.approx([-12, 12], abs=1e-6)
    broken = longer(Corner.TOP_LEFT, width=wide * 0.9)
    assert broken == pytest.approx([side, -9 - 2 * 15, width_of(font, "HH") * 9 - side, 0], abs=0.02)


def test_a_letter_that_is_not_built_in_is_an_error_with_the_handle_of_its_text() -> None:
    drawing = lettered(lambda d, s: [s.add_text("A\u5207"), s.add_text("  ")])
    (fault,) = [f for f in drawing.findings if f.severity is Severity.ERROR and f.rule == "entity-broken"]
    assert "'\\u5207'" in fault.message and fault.handle
    assert len(drawing.skipped) == 2 and not drawing.entities


def test_curves_of_letters_keep_to_a_few_micrometres_of_the_quadratic_ones() -> None:
    drawing = lettered(lambda d, s: s.add_text("S", height=40))
    assert max(e.fit_error for e in drawing.entities) < 0.006
    assert math.isfinite(drawing.entities[0].fit_error) and drawing.entities[0].samples is not None
