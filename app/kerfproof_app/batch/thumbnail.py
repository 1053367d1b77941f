"""Small pictures for a page with many: plate, kept metal, kerf, pierces, or only what is drawn, without any words."""

from __future__ import annotations

import base64
from collections.abc import Callable
from html import escape

from kerfproof.box import Box
from kerfproof.job.reading import Drawing
from kerfproof.outcome import Outcome
from kerfproof.report.data.job_report import parts_bounds
from kerfproof.report.picture.colors import LIGHT
from kerfproof.report.picture.png import png
from kerfproof.report.picture.svg import path_data

WIDE, HIGH = 420.0, 300.0
"""Pixels that the plate is fitted into."""
LONGEST = 60_000
"""Letters; a longer drawing becomes a PNG."""
MARGIN = 6.0
"""Pixels of plate seen around it."""
AIR = 0.04
"""Plate around a mere sketch, in shares of its longer side."""


def thumbnail(outcome: Outcome) -> str:
    """Return the picture as an SVG element, or as the data address of a PNG where that is shorter; empty: no parts."""
    box = outcome.plan.plate if outcome.plan else parts_bounds(outcome)
    if box is None or box[2] <= box[0] or box[3] <= box[1]:
        return ""
    title = ", ".join(drawing.name for drawing in outcome.drawings)
    return _fitted(box, title, lambda scale: _parts(outcome, scale) + _cuts(outcome, scale))


def sketch(drawing: Drawing) -> str:
    """Return the picture of a drawing that nothing could be planned for: its lines, in the colour of what is not cut.

    Empty: it holds none.
    """
    box = drawing.bounds()
    if box is None:
        return ""
    air = max(box[2] - box[0], box[3] - box[1]) * AIR
    if air <= 0:
        return ""
    data = "".join(path_data(entity.path) for entity in drawing.entities if entity.path is not None)
    look = f'fill="none" stroke="{LIGHT["uncut"]}"'
    return _fitted(
        (box[0] - air, box[1] - air, box[2] + air, box[3] + air),
        drawing.name,
        lambda scale: f'<path d="{data}" {look} stroke-width="{1.6 / scale:.4f}"/>',
    )


def _fitted(box: Box, title: str, inside: Callable[[float], str]) -> str:
    """Return the plate `box` with what is on it, which gets the pixels of a mm, as an SVG or PNG."""
    x0, y0, x1, y1 = box
    scale = min((WIDE - 2 * MARGIN) / (x1 - x0), (HIGH - 2 * MARGIN) / (y1 - y0))
    wide, high = (x1 - x0) * scale + 2 * MARGIN, (y1 - y0) * scale + 2 * MARGIN
    turn = f"translate({MARGIN - x0 * scale:.3f} {MARGIN + y1 * scale:.3f}) scale({scale:.6f} {-scale:.6f})"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.1f} {high:.1f}" width="{wide:.0f}" '
        f'height="{high:.0f}" role="img"><title>{escape(title)}</title>'
        f'<g transform="{turn}"><rect x="{x0:.3f}" y="{y0:.3f}" width="{x1 - x0:.3f}" height="{y1 - y0:.3f}" '
        f'fill="{LIGHT["plate"]}" stroke="{LIGHT["plate_edge"]}" stroke-width="{1 / scale:.4f}"/>'
        f"{inside(scale)}</g></svg>"
    )
    if len(svg) <= LONGEST:
        return svg
    return "data:image/png;base64," + base64.b64encode(png(svg, zoom=2.0)).decode("ascii")


def _parts(outcome: Outcome, scale: float) -> str:
    """Return kept metal, and in red what was drawn but is not cut."""
    gone = {f.number for f in outcome.left_out}
    cut = {c.feature for c in outcome.plan.cuts} if outcome.plan else set()
    kept, uncut = [], []
    for part in outcome.parts.parts:
        for feature in (part.outline, *part.holes, *part.slits):
            text = path_data(feature.contour.path)
            if feature.contour.path.closed and feature.number not in gone:
                kept.append(text)
            if feature.number not in cut:
                uncut.append((feature.number in gone, text))
    out = (
        f'<path d="{"".join(kept)}" fill="{LIGHT["part"]}" fill-rule="evenodd" stroke="{LIGHT["part_edge"]}" '
        f'stroke-width="{1.2 / scale:.4f}"/>'
    )
    for drill, colour in ((False, LIGHT["uncut"]), (True, LIGHT["drill"])):
        texts = [text for is_drill, text in uncut if is_drill is drill]
        if texts:
            width = f'stroke-width="{2.5 / scale:.4f}"'
            out += f'<path d="{"".join(texts)}" fill="none" stroke="{colour}" {width}/>'
    return out


def _cuts(outcome: Outcome, scale: float) -> str:
    """Return the kerf at its true width but never too thin to see, the lead-ins and a dot for every pierce."""
    if outcome.plan is None or not outcome.plan.cuts:
        return ""
    cuts = outcome.plan.cuts
    out = ""
    for colour, paths in (
        (LIGHT["kerf"], [cut.contour for cut in cuts]),
        (LIGHT["lead_in"], [cut.lead_in for cut in cuts if cut.lead_in is not None]),
    ):
        width = max(max(cut.kerf for cut in cuts), 1.4 / scale)
        data = "".join(map(path_data, paths))
        out += f'<path d="{data}" fill="none" stroke="{colour}" stroke-width="{width:.4f}" stroke-linecap="round"/>'
    radius = min(3.2, max(0.8, 60.0 / len(cuts) ** 0.5)) / scale
    dots = "".join(
        f"M{x - radius:.3f} {y:.3f}a{radius:.3f} {radius:.3f} 0 1 0 {2 * radius:.3f} 0"
        f"a{radius:.3f} {radius:.3f} 0 1 0 {-2 * radius:.3f} 0Z"
        for x, y in (cut.pierce for cut in cuts)
    )
    look = f'fill="{LIGHT["disc"]}" stroke="{LIGHT["disc_edge"]}" stroke-width="{1 / scale:.4f}"'
    return out + f'<path d="{dots}" {look}/>'
