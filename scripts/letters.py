"""Write the outlines of letters that text in drawings is read with, from the font in the resources.

``python scripts/letters.py`` after a change of the font or of `LETTERS`.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

ROOT = Path(__file__).resolve().parent.parent
FONT = ROOT / "resources" / "kerfproof_resources" / "fonts" / "DejaVuSans.ttf"
TARGET = ROOT / "core" / "kerfproof" / "drawing" / "dxf" / "letters.py"
LETTERS = "".join(map(chr, range(32, 127))) + "ÄÖÜäöüßØø°±×µéèçñ"
HEAD = '''"""Outlines of the letters of DejaVu Sans, in units of the font; `scripts/letters.py` writes this file.

The same letters on every computer give the same outlines. One line for each letter: its code, its advance, and its
contours after bars, as points; those with a tilde are the middle points of quadratic curves.
"""

# ruff: noqa: E501

from __future__ import annotations

CAP_HEIGHT = {cap}
"""Height of H."""
DESCENT = {descent}
"""How far p reaches below the line."""

LETTERS = """\\
{rows}
"""
'''


def module() -> str:
    """Return the text of the module."""
    font = TTFont(FONT)
    rows = "\n".join(_row(font, letter) for letter in LETTERS)
    return HEAD.format(cap=font["glyf"]["H"].yMax, descent=-font["glyf"]["p"].yMin, rows=rows)


def _row(font: TTFont, letter: str) -> str:
    glyphs, name = font.getGlyphSet(), font.getBestCmap()[ord(letter)]
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    contours: list[list[str]] = []
    for what, points in pen.value:
        if what == "moveTo":
            contours.append([])
        if what == "qCurveTo":
            contours[-1] += [f"~{x},{y}" for x, y in points[:-1]] + [f"{points[-1][0]},{points[-1][1]}"]
        elif points:
            contours[-1] += [f"{x},{y}" for x, y in points]
    rings = [" ".join(ring) for ring in contours if len(ring) > 2]  # fewer are anchors for accents
    return " | ".join([f"{ord(letter):x} {glyphs[name].width}", *rings])


if __name__ == "__main__":
    argparse.ArgumentParser(description=__doc__).parse_args()
    TARGET.write_text(module(), encoding="ascii")
