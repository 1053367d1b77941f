"""The picture as SVG text: plate view with rulers, a margin with facts and legend, findings below."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

import numpy as np

from kerfproof.geom.path import Path
from kerfproof.proof.proof import BY_RULES
from kerfproof.report.picture.callouts import callouts
from kerfproof.report.picture.callouts import findings as findings_of
from kerfproof.report.picture.colors import DARK, LIGHT
from kerfproof.report.picture.drill_list import drills as drills_of
from kerfproof.report.picture.margin import panel as panel_of
from kerfproof.report.picture.page import (
    BELOW,
    DASHES,
    LEFT,
    PANEL,
    RIGHT,
    TOP,
    PicturePage,
    hatching,
    letter,
    shortened,
    stroke,
)
from kerfproof.report.picture.picture import Layer, Picture
from kerfproof.report.picture.rulers import MM_STEPS, rulers, step_for, ticks
from kerfproof.report.picture.spots import Spots, name_spot

FONT = "'DejaVu Sans', Verdana, sans-serif"
NO_EDGE = 'stroke="none"'
MOST_NAMES = 120
"""Beyond so many parts their names are left out."""
KINDS = {
    "PROVEN": "good",
    "PROVEN WITH WARNINGS": "warning",
    "PROVEN" + BY_RULES: "good",
    "PROVEN WITH WARNINGS" + BY_RULES: "warning",
    "READY TO CUT": "good",
    "READY, WITH WARNINGS": "warning",
}
"""Verdicts that are no errors."""
WIDEST, HIGHEST = 1080.0, 800.0
"""Largest size of the plate view, pixels."""


def draw(shown: Picture, *, dark: bool = False) -> str:
    """Return a display list as an SVG document."""
    x0, y0, x1, y1 = shown.view
    scale = min(WIDEST / max(x1 - x0, 1e-6), HIGHEST / max(y1 - y0, 1e-6))
    page = PicturePage(shown, DARK if dark else LIGHT, scale, (x1 - x0) * scale, (y1 - y0) * scale)
    left = max(page.width, 560.0)  # the findings need room for sentences
    panel, panel_height = panel_of(page, LEFT + left + RIGHT)
    findings, findings_height = findings_of(page, TOP + page.height + BELOW, left + LEFT - 24)
    spots = Spots(LEFT, TOP, LEFT + page.width, TOP + page.height)
    for disc in shown.discs:
        spots.take(*page.place(*disc.at), 4.0)
    drills = list(drills_of(page, spots))
    width = LEFT + left + RIGHT + PANEL
    height = max(TOP + page.height + BELOW + findings_height, panel_height) + 22
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
            f'width="{width:.0f}" height="{height:.0f}" font-family="{FONT}" font-size="15" role="img">',
            f"<title>{escape(shown.title)}: {escape(shown.verdict)}</title>",
            f'<rect width="100%" height="100%" fill="{page.colours["paper"]}"/>',
            *_header(page),
            *_plate(page),
            *_layers(page),
            *rulers(page),
            *_zero(page),
            *_names(page),
            *drills,
            *_arrows(page),
            *_rings(page),
            *_discs(page, spots),
            *callouts(page, spots),
            *panel,
            *findings,
            "</svg>\n",
        ]
    )


# --- the plate view -----------------------------------------------------------------------------------


def _header(page: PicturePage) -> list[str]:
    shown, c = page.picture, page.colours
    kind = KINDS.get(shown.verdict, "error")
    sign = {"good": "\u2713", "warning": "!", "error": "\u2717"}[kind]
    badge = f"{sign}  {shown.verdict}"
    wide = 13.2 * len(badge) + 26
    notice, at = _notice(page, LEFT + wide + 14)
    title = shortened(shown.title, 44)
    return [
        f'<g id="verdict"><rect x="{LEFT}" y="22" width="{wide:.0f}" height="38" rx="4" fill="{c[kind]}"/>'
        + letter(LEFT + wide / 2, 48, badge, c[f"{kind}_ink"], size=19, bold=True, anchor="middle")
        + "</g>",
        *notice,
        letter(at + 6, 49, title, c["ink"], size=22, bold=True),
    ]


def _notice(page: PicturePage, x: float) -> tuple[list[str], float]:
    """Return a badge that says that nothing is cut, if so, and where it ends."""
    words, c = page.picture.notice, page.colours
    if not words:
        return [], x
    wide = 12.6 * len(words) + 26
    look = f'fill="{c["paper"]}" stroke="{c["raised"]}" stroke-width="2.4" stroke-dasharray="11 5"'
    return [
        f'<g id="notice"><rect x="{x:.0f}" y="23" width="{wide:.0f}" height="36" rx="4" {look}/>'
        + letter(x + wide / 2, 48, words, c["ink"], size=18, bold=True, anchor="middle")
        + "</g>"
    ], x + wide + 14


def _plate(page: PicturePage) -> list[str]:
    c, (x0, y0, x1, y1) = page.colours, page.picture.plate
    x, y = page.place(x0, y1)
    w, h = (x1 - x0) * page.scale, (y1 - y0) * page.scale
    box = f'x="{x:.2f}" y="{y:.2f}" width="{w:.2f}" height="{h:.2f}"'
    lines = [f'<g id="plate"><rect {box} fill="{c["plate"]}"/>']
    step = step_for(MM_STEPS, page.scale)
    for value in ticks(x0, x1, step):
        at = page.place(value, 0)[0]
        lines.append(stroke(at, y, at, y + h, c["grid"], 1))
    for value in ticks(y0, y1, step):
        at = page.place(0, value)[1]
        lines.append(stroke(x, at, x + w, at, c["grid"], 1))
    edge = f'stroke="{c["plate_edge"]}" stroke-width="1.5"'
    return [*lines, hatching(x, y, w, h, c["hatch"]), f'<rect {box} fill="none" {edge}/></g>']


def _layers(page: PicturePage) -> Iterator[str]:
    """Yield the layers in mm, y up, inside one group that turns them to pixels."""
    x, y = page.place(0.0, 0.0)
    s = page.scale
    yield f'<g id="sheet" transform="translate({x:.4f} {y:.4f}) scale({s:.6f} {-s:.6f})">'
    for layer in page.picture.layers:
        data = "".join(map(path_data, layer.paths))
        yield f'<path class="{layer.role}" d="{data}" {_style(layer, page)}/>'
        if layer.role in ("kerf", "lead_in") and layer.width * s >= 4:
            hot = f'fill="none" stroke="{page.colours["hot"]}" stroke-width="{_px(1.3, s)}"'
            yield f'<path class="{layer.role}-middle" d="{data}" {hot}/>'
    yield "</g>"


def _px(pixels: float, scale: float) -> str:
    return f"{pixels / scale:.5f}"


def _style(layer: Layer, page: PicturePage) -> str:
    colour, s = page.colours[layer.role], page.scale
    if layer.filled:
        edge = page.colours["part_edge"]
        return f'fill="{colour}" fill-rule="evenodd" stroke="{edge}" stroke-width="{_px(1.1, s)}"'
    dash = DASHES.get(layer.role)
    # The over-burn lies on its own contour: drawn slimmer, so that both are seen.
    true = layer.width * (0.55 if layer.role == "lead_out" else 1.0)
    width = max(true, (2.4 if layer.role in ("uncut", "raised") else 1.3) / s)
    text = f'fill="none" stroke="{colour}" stroke-width="{width:.5f}" stroke-linecap="round" stroke-linejoin="round"'
    return f'{text} stroke-dasharray="{_px(dash[0], s)} {_px(dash[1], s)}"' if dash else text


def path_data(path: Path) -> str:
    """Return the `d` text of a path in its own coordinates; with y up a left turn is the sweep flag 1."""
    v = path.vertices
    following = np.roll(v, -1, axis=0)
    count = path.n_segments
    chord = np.hypot(following[:, 0] - v[:, 0], following[:, 1] - v[:, 1])
    b = np.abs(v[:, 2])
    radius = chord * (1 + b * b) / np.maximum(4 * b, 1e-12)
    out = [f"M{v[0, 0]:.4f} {v[0, 1]:.4f}"]
    rows = zip(v[:count, 2].tolist(), radius[:count].tolist(), following[:count, 0], following[:count, 1], strict=True)
    for bulge, r, x, y in rows:
        bow = f"A{r:.4f} {r:.4f} 0 0 {1 if bulge > 0 else 0} " if bulge else "L"
        out.append(f"{bow}{x:.4f} {y:.4f}")
    return "".join(out) + ("Z" if path.closed else "")


def _zero(page: PicturePage) -> list[str]:
    x, y = page.place(0.0, 0.0)
    if not (LEFT - 1 <= x <= LEFT + page.width + 1 and TOP - 1 <= y <= TOP + page.height + 1):
        return []
    c = page.colours["zero"]
    return [
        f'<g id="zero" fill="none" stroke="{c}" stroke-width="2"><circle cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
        f'<path d="M{x - 10:.1f} {y:.1f}H{x + 26:.1f}m-7 -4l7 4l-7 4M{x:.1f} {y + 10:.1f}V{y - 26:.1f}m-4 7l4 -7l4 7"/>'
        "</g>"
    ]


def _names(page: PicturePage) -> Iterator[str]:
    """Yield the name of each part where it fits into the metal; where it doesn't, none."""
    if len(page.picture.names) > MOST_NAMES:
        return
    halo = f'stroke="{page.colours["part"]}" stroke-width="4" paint-order="stroke"'
    for name in page.picture.names:
        for size in (15.0, 12.5, 10.5):
            spot = name_spot(name.paths, (0.64 * size * len(name.text) + 14) / page.scale, (size + 8) / page.scale)
            if spot is not None:
                x, y = page.place(*spot)
                yield letter(x, y + 0.36 * size, name.text, page.colours["ink"], size=size, anchor="middle", more=halo)
                break


def _arrows(page: PicturePage) -> Iterator[str]:
    yield f'<g id="direction" fill="{page.colours["hot"]}" stroke="{page.colours["kerf"]}" stroke-width="1">'
    for arrow in page.picture.arrows:
        long = arrow.length * page.scale
        if long < 90:
            continue
        x, y = page.place(*arrow.at)
        turn = -np.degrees(arrow.turn_rad)
        size = min(1.0, 0.4 + long / 900)
        way = f"translate({x:.1f} {y:.1f}) rotate({turn:.1f}) scale({size:.2f})"
        yield f'<path d="M7 0L-5 5.5L-2 0L-5 -5.5Z" transform="{way}"/>'
    yield "</g>"


def _rings(page: PicturePage) -> Iterator[str]:
    """Yield a circle, of one size however large the plate, round each place where a contour goes wrong."""
    if not page.picture.rings:
        return
    r = 9.0 if len(page.picture.rings) <= 200 else 5.0
    yield f'<g id="rings" fill="none" stroke="{page.colours["uncut"]}" stroke-width="2.2">'
    for ring in page.picture.rings:
        x, y = page.place(*ring.at)
        name = ring.what.replace(" ", "-")
        yield f'<circle class="{name}" cx="{x:.1f}" cy="{y:.1f}" r="{r:g}"/>'
    yield "</g>"


def _discs(page: PicturePage, spots: Spots) -> Iterator[str]:
    c, discs = page.colours, page.picture.discs
    if not discs:
        return
    r = float(np.clip(0.2 * np.sqrt(page.width * page.height / len(discs)), 2.5, 12.0))
    places = [page.place(*disc.at) for disc in discs]
    yield f'<g id="pierces" stroke="{c["disc_edge"]}">'
    for disc, (x, y) in zip(discs, places, strict=True):
        if r < 8:  # a full sheet: no room for numbers
            yield f'<circle class="pierce" cx="{x:.1f}" cy="{y:.1f}" r="{0.35 * r:.1f}" fill="{c["disc"]}"/>'
        else:
            turn = float(np.arctan2(-disc.away[1], disc.away[0]))
            yield _disc(page, disc.number, r, (x, y), spots.find(x, y, r, turn, (r + 9, 2 * r + 14)))
    yield "</g>"


def _disc(page: PicturePage, number: int, r: float, at: tuple[float, float], spot: tuple[float, float]) -> str:
    """Return one numbered disc, tied to its pierce."""
    c, (x, y), (u, v) = page.colours, at, spot
    size = r * (1.15 if number < 100 else 0.85)
    look = f'fill="{c["disc"]}" stroke-width="1.5"'
    return (
        f'<g class="pierce">{stroke(x, y, u, v, c["disc_edge"], 1.5)}'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.2" {look}/><circle cx="{u:.1f}" cy="{v:.1f}" r="{r:.1f}" {look}/>'
        + letter(u, v + 0.36 * size, str(number), c["disc_ink"], size=size, bold=True, anchor="middle", more=NO_EDGE)
        + "</g>"
    )
