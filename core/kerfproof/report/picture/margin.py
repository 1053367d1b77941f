"""The margin of the picture: facts, legend, and for what the verdict holds."""

from __future__ import annotations

import textwrap

from kerfproof.report.picture.page import DASHES, LINE, PANEL, TOP, PicturePage, hatching, letter, stroke
from kerfproof.report.picture.picture import ROLES


def panel(page: PicturePage, x: float) -> tuple[list[str], float]:
    """Return the margin from `x` on as elements, and the height it reaches."""
    out, y = _facts(page, x, TOP + 6)
    out.append(_rule(page, x, y - 10))
    legend, y = _legend(page, x, y)
    small, y = _small_print(page, x, y)
    return ['<g id="facts">', *out, "</g>", '<g id="legend">', *legend, "</g>", *small], y + 10


def _facts(page: PicturePage, x: float, y: float) -> tuple[list[str], float]:
    out = []
    for name, value in page.picture.facts:
        out.append(letter(x, y, name, page.colours["faint"], size=13))
        for words in textwrap.wrap(value, 37):
            y += LINE
            out.append(letter(x, y, words, page.colours["ink"], size=16))
        y += 1.3 * LINE
    return out, y


def _legend(page: PicturePage, x: float, y: float) -> tuple[list[str], float]:
    c, shown = page.colours, page.picture
    out = []
    for role in ROLES:
        if role == "hole" or any(layer.role == role for layer in shown.layers):
            out += [_swatch(role, x, y + 12, page), letter(x + 56, y + 17, ROLES[role], c["ink"])]
            y += 30
    for what in dict.fromkeys(ring.what for ring in shown.rings):
        ring = f'<circle cx="{x + 21}" cy="{y + 12}" r="9" fill="none" stroke="{c["uncut"]}" stroke-width="2.2"/>'
        out += [ring, letter(x + 56, y + 17, what, c["ink"])]
        y += 30
    if shown.discs:
        words = "place of a pierce, torch off" if shown.notice else "pierce, in order of cutting"
        out += [_pierce_swatch(x, y + 12, page), letter(x + 56, y + 17, words, c["ink"])]
        y += 30
    return out, y


def _small_print(page: PicturePage, x: float, y: float) -> tuple[list[str], float]:
    if not page.picture.small_print:
        return [], y
    out = [_rule(page, x, y + 10)]
    y += 16
    for words in textwrap.wrap(f"Holds for {page.picture.small_print.removeprefix('for ')}", 46):
        y += 18
        out.append(letter(x, y, words, page.colours["faint"], size=13))
    return out, y


def _rule(page: PicturePage, x: float, y: float) -> str:
    return stroke(x, y, x + PANEL - 28, y, page.colours["rule"], 1)


def _pierce_swatch(x: float, y: float, page: PicturePage) -> str:
    c = page.colours
    look = f'fill="{c["disc"]}" stroke="{c["disc_edge"]}"'
    return (
        stroke(x + 6, y, x + 25, y, c["disc_edge"], 1.5)
        + f'<circle cx="{x + 6}" cy="{y}" r="3.2" {look}/><circle cx="{x + 30}" cy="{y}" r="11" {look}/>'
        + letter(x + 30, y + 4.6, "1", c["disc_ink"], size=13, bold=True, anchor="middle")
    )


def _swatch(role: str, x: float, y: float, page: PicturePage) -> str:
    c = page.colours
    box = f'x="{x}" y="{y - 9}" width="42" height="18"'
    if role == "part":
        return f'<rect {box} fill="{c["part"]}" stroke="{c["part_edge"]}"/>'
    if role == "hole":
        lines = hatching(x, y - 9, 42, 18, c["hatch"])
        return f'<rect {box} fill="{c["plate"]}"/>{lines}<rect {box} fill="none" stroke="{c["plate_edge"]}"/>'
    dash = DASHES.get(role)
    width = {"kerf": 9, "lead_in": 9, "lead_out": 5, "uncut": 2.4, "raised": 2.4}.get(role, 1.6)
    more = f' stroke-dasharray="{dash[0]} {dash[1]}"' if dash else ' stroke-linecap="round"'
    way = f'd="M{x + 5} {y}H{x + 37}"'
    drawn = f'<path {way} stroke="{c[role]}" stroke-width="{width}"{more}/>'
    if role in ("kerf", "lead_in"):
        drawn += f'<path {way} stroke="{c["hot"]}" stroke-width="1.3"/>'
    # dark as the slot is, it would be lost on dark paper
    return f'<rect {box} fill="{c["part"]}"/>{drawn}' if role in ("kerf", "slit") else drawn
