"""Findings on the picture: flags with letters on the plate, the sentences below it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.report.page import LEFT, LINE, TOP, Page, letter, stroke
from kerfproof.report.picture import Callout
from kerfproof.report.spots import Spots

SHAPES = {
    Severity.ERROR: "M0 -15L15 0L0 15L-15 0Z",
    Severity.WARNING: "M0 -16L16 12L-16 12Z",
    Severity.NOTE: "M-11 -11H11V11H-11Z",
}
"""Each severity has its own outline, so that colour is not needed to tell them apart."""


def _flag(callout: Callout, x: float, y: float, page: Page) -> str:
    colour, ink = page.colours[str(callout.severity)], page.colours[f"{callout.severity}_ink"]
    edge = f'stroke="{page.colours["ink"]}" stroke-width="1.4" stroke-linejoin="round"'
    drop = 8.5 if callout.severity is Severity.WARNING else 4.8
    size = 13 if len(callout.letter) == 1 else 10
    return (
        f'<path d="{SHAPES[callout.severity]}" transform="translate({x:.1f} {y:.1f})" fill="{colour}" {edge}/>'
        + letter(x, y + drop, callout.letter, ink, size=size, bold=True, anchor="middle")
    )


def callouts(page: Page, spots: Spots) -> Iterator[str]:
    """Yield a flag for each finding that has a place in the view."""
    ink = page.colours["ink"]
    placed = []
    for callout in page.picture.callouts:
        if callout.at is None:
            continue
        x, y = page.place(*callout.at)
        if 0 <= x - LEFT <= page.width and 0 <= y - TOP <= page.height:
            placed.append((callout, x, y, *spots.find(x, y, 16.0, -0.9, (34.0, 62.0, 90.0))))
    for callout, x, y, u, v in reversed(placed):  # the worst on top
        yield (
            f'<g class="callout {callout.severity}">{stroke(x, y, u, v, ink, 1.6)}'
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="none" stroke="{ink}" stroke-width="1.6"/>'
            f"{_flag(callout, u, v, page)}</g>"
        )


def findings(page: Page, top: float, width: float) -> tuple[list[str], float]:
    """Return the findings as sentences below the plate and their height."""
    shown, c = page.picture, page.colours
    if not shown.callouts:
        return [], 0.0
    out = [letter(LEFT - 38, top + 26, "Findings", c["ink"], size=17, bold=True)]
    y = top + 56
    letters = int((width - 50) / 8.6)
    for callout in shown.callouts:
        out.append(_flag(callout, LEFT - 22, y - 5, page))
        for line in textwrap.wrap(f"{callout.severity}: {callout.text}", letters):
            out.append(letter(LEFT + 6, y, line, c["ink"]))
            y += LINE
        y += 13
    if shown.more_findings:
        out.append(letter(LEFT + 6, y, f"and {shown.more_findings} more in the report", c["faint"]))
        y += LINE
    return ['<g id="findings">', *out, "</g>"], y - top
