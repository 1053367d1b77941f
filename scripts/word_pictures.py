"""Draw the small pictures of the guide's page on words: ``.venv/bin/python scripts/word_pictures.py``.

Seen from the side (torch over plate) or from above (part in its sheet), in pixels, not to scale.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from kerfproof.report.picture.colors import LIGHT as C
from kerfproof.report.picture.page import letter, stroke
from kerfproof.report.picture.png import png
from kerfproof_app.shop.store import font_files

OUT = Path(__file__).resolve().parent.parent / "resources" / "kerfproof_resources" / "pictures" / "words"
WIDE, HIGH = 300, 130
TOP = 96
"""Where the top of the plate lies in views from the side."""
Drawn = list[str]


def box(x: float, y: float, wide: float, high: float, color: str, edge: str = "plate_edge") -> str:
    """Return a filled rectangle."""
    return f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="{C[color]}" stroke="{C[edge]}"/>'


def curve(d: str, color: str, width: float = 2.0, *, dashed: bool = False, fill: str = "none") -> str:
    """Return a path by its SVG words."""
    dash = ' stroke-dasharray="6 4"' if dashed else ""
    return f'<path d="{d}" fill="{fill}" stroke="{C[color]}" stroke-width="{width}" stroke-linecap="round"{dash}/>'


def say(x: float, y: float, words: str, anchor: str = "start") -> str:
    """Return a word beside a thing."""
    return letter(x, y, words, C["ink"], size=13, anchor=anchor)


def arrow(x0: float, y0: float, x1: float, y1: float, color: str = "lead_in") -> str:
    """Return a straight arrow along an axis."""
    across = y0 == y1
    s = 5 if (x1 > x0 if across else y1 > y0) else -5
    head = (
        f"M{x1 - s} {y1 - 4}L{x1} {y1}L{x1 - s} {y1 + 4}"
        if across
        else f"M{x1 - 4} {y1 - s}L{x1} {y1}L{x1 + 4} {y1 - s}"
    )
    return stroke(x0, y0, x1, y1, C[color], 2) + curve(head, color)


def span(x: float, y0: float, y1: float) -> str:
    """Return a height between two levels."""
    ends = "".join(stroke(x - 6, y, x + 6, y, C["lead_in"], 2) for y in (y0, y1))
    return ends + stroke(x, y0, x, y1, C["lead_in"], 2)


def plate(x0: float = 0, x1: float = WIDE) -> str:
    """Return the plate from the side."""
    return box(x0, TOP, x1 - x0, 22, "plate")


def torch(x: float, tip: float, *, arc: bool = False) -> str:
    """Return the torch with its tip at a height; `arc` to the plate."""
    body = f"M{x - 14} {tip - 46}h28v28l-9 18h-10l-9 -18z"
    flame = curve(f"M{x - 3} {tip}L{x} {TOP + 22}L{x + 3} {tip}", "hot", 3, fill=C["hot"]) if arc else ""
    return flame + curve(body, "part_edge", 2, fill=C["part"])


def sheet() -> str:
    """Return the sheet from above."""
    return box(0, 0, WIDE, HIGH, "plate")


def kerf() -> Drawn:
    """Draw the slot."""
    return [
        plate(),
        box(138, TOP, 24, 22, "hot", "kerf"),
        torch(150, 66, arc=True),
        arrow(100, 84, 136, 84),
        arrow(200, 84, 164, 84),
        say(204, 88, "kerf"),
    ]


def pierce() -> Drawn:
    """Draw the start of a cut."""
    return [
        plate(),
        curve(f"M144 {TOP}L147 {TOP + 22}h6L156 {TOP}z", "hot", 2, fill=C["hot"]),
        torch(150, 70, arc=True),
        curve(f"M140 {TOP}l-16 -12M160 {TOP}l16 -12M142 {TOP}l-8 -18M158 {TOP}l8 -18", "lead_in"),
        say(190, 84, "pierce"),
    ]


def _outline() -> Drawn:
    return [sheet(), box(90, 30, 190, 110, "part", "part_edge")]


def lead_in() -> Drawn:
    """Draw the way to the contour."""
    return [
        *_outline(),
        curve("M40 80Q84 80 84 112", "lead_in", 5),
        curve("M84 112V130", "kerf", 3),
        f'<circle cx="40" cy="80" r="8" fill="{C["disc"]}" stroke="{C["disc_edge"]}"/>',
        say(8, 62, "lead-in"),
        say(120, 90, "part"),
    ]


def lead_out() -> Drawn:
    """Draw the way off it."""
    return [
        *_outline(),
        curve("M84 130V84", "kerf", 3),
        curve("M84 84Q84 50 44 50", "lead_out", 5),
        arrow(60, 50, 40, 50, "lead_out"),
        say(8, 34, "lead-out"),
        say(120, 90, "part"),
    ]


def over_burn() -> Drawn:
    """Draw the cut that closes."""
    return [
        *_outline(),
        curve("M30 70Q84 70 84 96", "lead_in", 3),
        curve("M84 0V64", "kerf", 3),
        curve("M84 64V124", "lead_out", 6),
        curve("M84 96V130", "kerf", 1.5),
        say(100, 112, "over-burn"),
        say(8, 58, "beginning"),
    ]


def touch_off() -> Drawn:
    """Draw the plate found."""
    return [plate(), torch(150, TOP), arrow(196, 40, 196, 90), say(204, 70, "down")]


def float_() -> Drawn:
    """Draw the carriage that goes on."""
    frame = curve("M110 20h80M118 20v20M182 20v20", "ink", 3)
    return [
        plate(),
        torch(150, TOP),
        frame,
        curve("M110 44h80", "ink", 2, dashed=True),
        span(210, 20, 44),
        say(220, 37, "float"),
        say(20, 24, "carriage"),
        say(20, 84, "tip on plate"),
    ]


def z_zero() -> Drawn:
    """Draw the top of the plate."""
    return [
        plate(),
        torch(90, TOP),
        stroke(0, TOP, WIDE, TOP, C["lead_in"], 3),
        say(140, TOP - 8, "Z zero: top of the plate"),
    ]


def preload() -> Drawn:
    """Draw the carriage held lower."""
    return [
        plate(),
        torch(150, TOP),
        curve("M110 26h80M118 26v16M182 26v16", "ink", 3),
        arrow(240, 26, 240, 50),
        span(212, 18, 26),
        say(252, 40, "held"),
        say(20, 30, "carriage"),
        say(20, 84, "tip seated"),
    ]


def travel_height() -> Drawn:
    """Draw the torch over the plate."""
    return [
        plate(),
        torch(90, 60),
        arrow(112, 30, 170, 30, "travel"),
        span(200, 60, TOP),
        curve("M60 60H200", "travel", 1.5, dashed=True),
        say(208, 82, "travel height"),
    ]


def feed() -> Drawn:
    """Draw the torch that moves."""
    return [
        plate(),
        box(0, TOP, 112, 22, "paper", "kerf"),
        torch(110, 74, arc=True),
        arrow(134, 52, 200, 52),
        say(206, 56, "feed"),
    ]


def dwell() -> Drawn:
    """Draw the torch that waits."""
    clock = f'<circle cx="216" cy="50" r="20" fill="{C["disc"]}" stroke="{C["ink"]}" stroke-width="2"/>'
    return [plate(), torch(150, 74, arc=True), clock, curve("M216 50V36M216 50L226 54", "ink"), say(244, 54, "dwell")]


def _hole(x: float, y: float, color: str) -> str:
    return f'<circle cx="{x}" cy="{y}" r="26" fill="{C[color]}" stroke="{C["kerf"]}" stroke-width="5"/>'


def slug() -> Drawn:
    """Draw what drops out."""
    return [sheet(), box(60, 16, 180, 98, "part", "kerf"), _hole(150, 65, "plate"), say(150, 70, "slug", "middle")]


def part() -> Drawn:
    """Draw what you keep."""
    return [sheet(), box(60, 16, 180, 98, "part", "kerf"), _hole(96, 65, "paper"), say(180, 70, "part", "middle")]


def whole_sheet() -> Drawn:
    """Draw what it is cut from."""
    return [
        box(20, 12, 260, 106, "plate"),
        box(44, 34, 76, 62, "part", "kerf"),
        box(140, 34, 76, 62, "part", "kerf"),
        say(224, 110, "sheet"),
    ]


WORDS: dict[str, Callable[[], Drawn]] = {
    "kerf": kerf,
    "pierce": pierce,
    "lead-in": lead_in,
    "lead-out": lead_out,
    "over-burn": over_burn,
    "touch-off": touch_off,
    "float": float_,
    "z-zero": z_zero,
    "preload": preload,
    "travel-height": travel_height,
    "feed": feed,
    "dwell": dwell,
    "slug": slug,
    "part": part,
    "sheet": whole_sheet,
}


def svg(word: str) -> str:
    """Return the picture of a word as an SVG document."""
    size = f'viewBox="0 0 {WIDE} {HIGH}" width="{WIDE}" height="{HIGH}"'
    ground = f'<rect width="100%" height="100%" fill="{C["paper"]}"/>'
    drawn = "".join(WORDS[word]())
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="DejaVu Sans">{ground}{drawn}</svg>'


def main() -> None:
    """Write the picture of each word."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    OUT.mkdir(parents=True, exist_ok=True)
    for word in WORDS:
        (OUT / f"{word}.png").write_bytes(png(svg(word), zoom=1.0, font_files=font_files()))


if __name__ == "__main__":
    main()
