"""The page that the picture is drawn on: where things are, and its smallest pieces as SVG text."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from kerfproof.report.picture.picture import Picture

LEFT, TOP, RIGHT, BELOW = 62.0, 118.0, 52.0, 46.0
"""Room around the plate view for title and rulers, pixels."""
PANEL = 380.0
"""Width of the margin with facts and legend, pixels."""
LINE = 21.0
"""From line to line of text, pixels."""
DASHES = {"travel": (7, 5), "drill": (3, 3), "mark": (8, 3), "uncut": (6, 3), "ignored": (2, 4), "raised": (11, 5)}
"""Roles that are drawn dashed: dash and gap, pixels."""


@dataclass(frozen=True, slots=True, eq=False)
class PicturePage:
    """Where things are: `scale` pixels per mm, the view's corner (x0, y1) in mm, the view's size in pixels."""

    picture: Picture
    colours: dict[str, str]
    scale: float
    width: float
    height: float

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return pixels from mm."""
        return LEFT + (x - self.picture.view[0]) * self.scale, TOP + (self.picture.view[3] - y) * self.scale


def stroke(x0: float, y0: float, x1: float, y1: float, colour: str, width: float) -> str:
    """Return a straight line."""
    return f'<line x1="{x0:.2f}" y1="{y0:.2f}" x2="{x1:.2f}" y2="{y1:.2f}" stroke="{colour}" stroke-width="{width}"/>'


def letter(
    x: float,
    y: float,
    words: str,
    colour: str,
    *,
    size: float = 15.0,
    bold: bool = False,
    anchor: str = "start",
    more: str = "",
) -> str:
    """Return one line of text with its baseline at y."""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:.1f}" fill="{colour}" text-anchor="{anchor}"{weight} {more}>'
        f"{escape(words)}</text>"
    )


def shortened(words: str, length: int) -> str:
    """Return at most `length` letters."""
    return words if len(words) <= length else words[: length - 1] + "\u2026"


def hatching(x: float, y: float, width: float, height: float, colour: str) -> str:
    """Return slanting lines over a rectangle; a pattern fill would do the same, but renders five times slower."""
    apart = 12.7
    ends = []
    for k in range(1, int((width + height) / apart) + 1):
        c = k * apart
        ends.append(
            f"M{x + min(c, width):.1f} {y + max(0.0, c - width):.1f}"
            f"L{x + max(0.0, c - height):.1f} {y + min(c, height):.1f}"
        )
    return f'<path class="hatch" d="{"".join(ends)}" fill="none" stroke="{colour}" stroke-width="1.5"/>'
