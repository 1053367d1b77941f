"""The picture of an outcome painted on a PDF page: the same display list as the SVG, to scale."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm as MM
from reportlab.pdfgen.canvas import Canvas

from kerfproof.box import Box
from kerfproof.geom.path import Path
from kerfproof.report.picture.colors import LIGHT
from kerfproof.report.picture.page import DASHES
from kerfproof.report.picture.picture import Layer, Picture
from kerfproof.report.picture.spots import Spots

PLAIN, BOLD = "Sheet", "SheetBold"
"""Names under which the fonts are known to the canvas."""
SCALES = (0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
"""The picture is so many times smaller than the plate."""
MOST_NUMBERS = 160
"""With more pierces only each tenth, hundredth... is numbered: numbers would cover each other."""


@dataclass(frozen=True, slots=True)
class PicturePlace:
    """Where the picture stands: left and bottom of its plate view on the page, points per mm of plate, its scale."""

    x: float
    y: float
    points: float
    one_to: float
    view: Box

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return page points from plate mm."""
        return self.x + (x - self.view[0]) * self.points, self.y + (y - self.view[1]) * self.points


def frame_for(view: Box, left: float, bottom: float, width: float, height: float) -> PicturePlace:
    """Return the frame of the largest usual scale at which `view` (mm) fits a box of the page, in its middle."""
    w, h = max(view[2] - view[0], 1e-6) * MM, max(view[3] - view[1], 1e-6) * MM
    need = max(w / width, h / height)
    one_to = next((scale for scale in SCALES if scale >= need), need)
    return PicturePlace(left + (width - w / one_to) / 2, bottom + (height - h / one_to) / 2, MM / one_to, one_to, view)


def paint(canvas: Canvas, picture: Picture, frame: PicturePlace) -> None:
    """Paint plate, layers, zero, pierces and overall size."""
    _plate(canvas, picture, frame)
    for layer in picture.layers:
        _layer(canvas, layer, frame)
    _zero(canvas, frame)
    _discs(canvas, picture, frame)


def _colour(canvas: Canvas, role: str) -> None:
    canvas.setStrokeColor(HexColor(LIGHT[role]))
    canvas.setFillColor(HexColor(LIGHT[role]))


def _plate(canvas: Canvas, picture: Picture, frame: PicturePlace) -> None:
    x0, y0, x1, y1 = picture.plate
    a, b = frame.place(x0, y0), frame.place(x1, y1)
    canvas.setLineWidth(0.8)
    canvas.setFillColor(HexColor("#E3E7EA"))
    canvas.setStrokeColor(HexColor(LIGHT["plate_edge"]))
    canvas.rect(a[0], a[1], b[0] - a[0], b[1] - a[1], fill=1, stroke=1)


def _layer(canvas: Canvas, layer: Layer, frame: PicturePlace) -> None:
    canvas.saveState()
    path = canvas.beginPath()
    for one in layer.paths:
        _trace(path, one, frame.place)
    if layer.filled:
        canvas.setFillColor(HexColor("#FFFFFF"))
        canvas.setStrokeColor(HexColor(LIGHT["part_edge"]))
        canvas.setLineWidth(0.4)
        canvas.drawPath(path, fill=1, stroke=1, fillMode=0)
    else:
        _colour(canvas, layer.role)
        slim = 0.55 if layer.role == "lead_out" else 1.0
        canvas.setLineWidth(max(layer.width * slim * frame.points, 0.5))
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        if layer.role in DASHES:
            canvas.setDash(*[0.5 * length for length in DASHES[layer.role]])
        canvas.drawPath(path, fill=0, stroke=1)
    canvas.restoreState()


def _trace(out: object, path: Path, place: Callable[[float, float], tuple[float, float]]) -> None:
    """Add a path to a PDF path; arcs as cubics of at most a quarter turn (off by 0.03 % of the radius)."""
    v = path.vertices
    following = np.roll(v, -1, axis=0)
    out.moveTo(*place(float(v[0, 0]), float(v[0, 1])))  # type: ignore[attr-defined]
    for k in range(path.n_segments):
        a, b, bulge = v[k, :2], following[k, :2], float(v[k, 2])
        if bulge == 0.0:
            out.lineTo(*place(float(b[0]), float(b[1])))  # type: ignore[attr-defined]
            continue
        for c1, c2, end in _cubics(a, b, bulge):
            out.curveTo(*place(*c1), *place(*c2), *place(*end))  # type: ignore[attr-defined]
    if path.closed:
        out.close()  # type: ignore[attr-defined]


Vector = tuple[float, float]


def _cubics(
    a: np.ndarray[tuple[int], np.dtype[np.float64]], b: np.ndarray[tuple[int], np.dtype[np.float64]], bulge: float
) -> Iterator[tuple[Vector, Vector, Vector]]:
    """Yield control points and end of the cubics that draw an arc."""
    sweep = 4 * float(np.arctan(bulge))
    chord = b - a
    normal = np.array([-chord[1], chord[0]])
    centre = (a + b) / 2 + normal * (1 - bulge * bulge) / (4 * bulge)
    spoke = a - centre
    count = int(np.ceil(abs(sweep) / (np.pi / 2) - 1e-9)) or 1
    step = sweep / count
    k = 4 / 3 * float(np.tan(step / 4))
    for i in range(count):
        t0, t1 = i * step, (i + 1) * step
        p, q = _turned(spoke, t0), _turned(spoke, t1)
        c1 = centre + p + k * np.array([-p[1], p[0]])
        c2 = centre + q - k * np.array([-q[1], q[0]])
        end = centre + q
        yield (float(c1[0]), float(c1[1])), (float(c2[0]), float(c2[1])), (float(end[0]), float(end[1]))


def _turned(
    v: np.ndarray[tuple[int], np.dtype[np.float64]], angle: float
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([v[0] * c - v[1] * s, v[0] * s + v[1] * c])


def _zero(canvas: Canvas, frame: PicturePlace) -> None:
    """Mark program zero with a ring and two arrows, if it lies in the view."""
    x0, y0, x1, y1 = frame.view
    if not (x0 - 1e-6 <= 0 <= x1 + 1e-6 and y0 - 1e-6 <= 0 <= y1 + 1e-6):
        return
    x, y = frame.place(0.0, 0.0)
    _colour(canvas, "zero")
    canvas.setLineWidth(1.2)
    canvas.circle(x, y, 3.5, fill=0, stroke=1)
    for dx, dy in ((1, 0), (0, 1)):
        canvas.line(x, y, x + 18 * dx, y + 18 * dy)
        canvas.line(x + 18 * dx, y + 18 * dy, x + 13 * dx - 3 * dy, y + 13 * dy - 3 * dx)
        canvas.line(x + 18 * dx, y + 18 * dy, x + 13 * dx + 3 * dy, y + 13 * dy + 3 * dx)
    canvas.setFont(BOLD, 7)
    canvas.drawString(x + 20, y - 2.5, "X")
    canvas.drawString(x - 2.5, y + 20, "Y")


def numbered_each(count: int) -> int:
    """Return that each so many-th of `count` pierces is numbered: 1, 10, 100..."""
    each = 1
    while count / each > MOST_NUMBERS:
        each *= 10
    return each


def _discs(canvas: Canvas, picture: Picture, frame: PicturePlace) -> None:
    """Paint the number of each cut beside its pierce; where there are too many of some, and dots for the others."""
    places = [frame.place(*disc.at) for disc in picture.discs]
    canvas.setStrokeColor(HexColor(LIGHT["disc_edge"]))
    canvas.setLineWidth(0.6)
    each = numbered_each(len(places))
    if each > 1:
        canvas.setFillColor(HexColor(LIGHT["hot"]))
        for x, y in places:
            canvas.circle(x, y, 1.2, fill=1, stroke=1)
    a, b = frame.place(*frame.view[:2]), frame.place(*frame.view[2:])
    spots, r = Spots(a[0], a[1], b[0], b[1]), 6.6 if len(places) <= 60 else 4.8
    for disc, (x, y) in zip(picture.discs, places, strict=True):
        if disc.number % each == 0:
            spots.take(x, y, 2.0)
    for disc, (x, y) in zip(picture.discs, places, strict=True):
        if disc.number % each:
            continue
        turn = float(np.arctan2(disc.away[1], disc.away[0]))
        u, v = spots.find(x, y, r, turn, (r + 5, 2 * r + 8))
        canvas.line(x, y, u, v)
        canvas.setFillColor(HexColor(LIGHT["hot"]))
        canvas.circle(x, y, 1.8, fill=1, stroke=1)
        canvas.setFillColor(HexColor("#FFFFFF"))
        canvas.circle(u, v, r, fill=1, stroke=1)
        canvas.setFillColor(HexColor(LIGHT["disc_ink"]))
        size = (1.25 if disc.number < 100 else 0.95) * r
        canvas.setFont(BOLD, size)
        canvas.drawCentredString(u, v - 0.36 * size, str(disc.number))
