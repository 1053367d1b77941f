"""Findings on the picture: flags with letters on the plate, the sentences below it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.report.picture.flags import Callout
from kerfproof.report.picture.page import LEFT, LINE, TOP, PicturePage, letter, stroke
from kerfproof.report.picture.spots import Spots

SHAPES = {
    Severity.ERROR: "M0 -15L15 0L0 15L-15 0Z",
    Severity.WARNING: "M0 -16L16 12L-16 12Z",
    Severity.NOTE: "M-11 -11H11V11H-11Z",
}
"""Each severity has its own outline, so that colour is not needed to tell them apart."""


def _seen(x: float, y: float, page: PicturePage) -> bool:
    return 0 <= x - LEFT <= page.width and 0 <= y - TOP <= page.height


def _shape(severity: Severity, x: float, y: float, page: PicturePage, size: float = 1.0) -> str:
    edge = f'stroke="{page.colours["ink"]}" stroke-width="{1.4 / size:.2f}" stroke-linejoin="round"'
    turn = f"translate({x:.1f} {y:.1f})" + (f" scale({size:g})" if size != 1.0 else "")
    return f'<path d="{SHAPES[severity]}" transform="{turn}" fill="{page.colours[str(severity)]}" {edge}/>'


def _flag(callout: Callout, x: float, y: float, page: PicturePage) -> str:
    ink = page.colours[f"{callout.severity}_ink"]
    drop = 8.5 if callout.severity is Severity.WARNING else 4.8
    size = 13 if len(callout.letter) == 1 else 10
    return _shape(callout.severity, x, y, page) + letter(
        x, y + drop, callout.letter, ink, size=size, bold=True, anchor="middle"
    )


def callouts(page: PicturePage, spots: Spots) -> Iterator[str]:
    """Yield a flag for each finding that has a place in the view, and a small one at each that is alike."""
    ink = page.colours["ink"]
    placed = []
    for callout in page.picture.callouts:
        for x, y in (page.place(*at) for at in callout.more):
            if _seen(x, y, page):
                yield f'<g class="alike">{_shape(callout.severity, x, y, page, 0.45)}</g>'
        if callout.at is None:
            continue
        x, y = page.place(*callout.at)
        if _seen(x, y, page):
            placed.append((callout, x, y, *spots.find(x, y, 16.0, -0.9, (34.0, 62.0, 90.0))))
    for callout, x, y, u, v in reversed(placed):  # the worst on top
        yield (
            f'<g class="callout {callout.severity}">{stroke(x, y, u, v, ink, 1.6)}'
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="none" stroke="{ink}" stroke-width="1.6"/>'
            f"{_flag(callout, u, v, page)}</g>"
        )


def findings(page: PicturePage, top: float, width: float) -> tuple[list[str], float]:
    """Return the findings as sentences below the plate and their height."""
    shown, c = page.picture, page.colours
    if not shown.callouts:
        return [], 0.0
    out = [letter(LEFT - 38, top + 26, "Findings", c["ink"], size=17, bold=True)]
    y = top + 56
    letters = int((width - 50) / 8.6)
    for callout in shown.callouts:
        out.append(_flag(callout, LEFT - 22, y - 5, page))
        for line in textwrap.wrap(callout.sentence(), letters):
            out.append(letter(LEFT + 6, y, line, c["ink"]))
            y += LINE
        y += 13
    if shown.more_findings:
        out.append(letter(LEFT + 6, y, f"and {shown.more_findings} more in the report", c["faint"]))
        y += LINE
    return ['<g id="findings">', *out, "</g>"], y - top
