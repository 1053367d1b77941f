"""The picture as PNG bytes, drawn from the SVG."""

from __future__ import annotations

from collections.abc import Sequence

import resvg_py


def png(svg: str, *, zoom: float = 2.0, font_files: Sequence[str] = ()) -> bytes:
    """Return an SVG document as PNG bytes, `zoom` pixels per SVG unit.

    `font_files` are paths of fonts to letter with; without any, the computer's own are taken.
    """
    given = list(font_files)
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=svg,
            zoom=zoom,
            font_files=given or None,
            skip_system_fonts=bool(given),
            font_family="DejaVu Sans",
        )
    )
