"""What lies under everything in the plate view: paper, the steel plate with its grid, hatched scrap; and the rulers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPen

from kerfproof.box import Box
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.widgets.pens import faded, outline, take_letters

MM_STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
INCH_STEPS = (1 / 1024, 1 / 512, 1 / 256, 1 / 128, 1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 6, 12, 24, 48, 96)
RULER = 24
"""Width of the rulers, pixels."""
HATCH = 11
"""Distance of the hatch lines, pixels."""
Colours = Mapping[str, str]


def grid_step(camera: Camera, inches: bool, least: float = 14.0) -> float:
    """Return the distance of grid lines in mm: the smallest step of the unit that is `least` pixels wide."""
    unit = 25.4 if inches else 1.0
    steps: Sequence[float] = INCH_STEPS if inches else MM_STEPS
    return next((s * unit for s in steps if s * unit * camera.scale >= least), steps[-1] * unit)


def paint_ground(painter: QPainter, camera: Camera, colours: Colours, plate: Box | None, inches: bool) -> None:
    """Paint paper and plate."""
    painter.fillRect(QRectF(0, 0, camera.width, camera.height), QColor(colours["paper"]))
    if plate is None:
        return
    whole = QRectF(*camera.pixels_of(plate))
    seen = whole.intersected(QRectF(-2, -2, camera.width + 4, camera.height + 4))
    if seen.isEmpty():
        return
    steel = QColor(colours["plate"])
    sheen = QLinearGradient(whole.topLeft(), whole.bottomRight())
    sheen.setColorAt(0.0, steel.lighter(106))
    sheen.setColorAt(0.5, steel)
    sheen.setColorAt(1.0, steel.darker(106))
    painter.fillRect(seen, QBrush(sheen))
    _hatch(painter, seen, colours)
    paint_grid(painter, camera, seen, colours, inches)
    outline(painter, QColor(colours["plate_edge"]), 1.5)
    painter.drawRect(whole)


def _hatch(painter: QPainter, seen: QRectF, colours: Colours) -> None:
    painter.save()
    painter.setClipRect(seen)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setPen(QPen(faded(QColor(colours["hatch"]), 120), 1.0))
    first = math.floor((seen.left() + seen.top()) / HATCH) * HATCH
    totals = range(first, math.floor(seen.right() + seen.bottom()) + 1, HATCH)  # on each line x + y is constant
    painter.drawLines([QLineF(t - seen.top(), seen.top(), t - seen.bottom(), seen.bottom()) for t in totals])
    painter.restore()


def paint_grid(painter: QPainter, camera: Camera, seen: QRectF, colours: Colours, inches: bool) -> None:
    """Paint the lines of a grid in steps of the unit over a box of pixels."""
    step = grid_step(camera, inches)
    painter.save()
    painter.setClipRect(seen)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    x0, y1 = camera.to_plate(seen.left(), seen.top())
    x1, y0 = camera.to_plate(seen.right(), seen.bottom())
    thin, bold = faded(QColor(colours["grid"]), 110), QColor(colours["grid"])
    bold = bold.darker(118) if QColor(colours["paper"]).lightness() > 128 else bold.lighter(130)
    fine: list[QLineF] = []
    coarse: list[QLineF] = []
    for k in range(math.ceil(x0 / step), math.floor(x1 / step) + 1):
        u = round(camera.to_pixels(k * step, 0)[0]) + 0.5
        (coarse if k % 5 == 0 else fine).append(QLineF(u, seen.top(), u, seen.bottom()))
    for k in range(math.ceil(y0 / step), math.floor(y1 / step) + 1):
        v = round(camera.to_pixels(0, k * step)[1]) + 0.5
        (coarse if k % 5 == 0 else fine).append(QLineF(seen.left(), v, seen.right(), v))
    painter.setPen(QPen(thin, 1.0))
    painter.drawLines(fine)
    painter.setPen(QPen(bold, 1.0))
    painter.drawLines(coarse)
    painter.restore()


def paint_rulers(
    painter: QPainter, camera: Camera, colours: Colours, inches: bool, at: tuple[float, float] | None
) -> None:
    """Paint the rulers above and left, with the place of the pointer `at` (mm) on them."""
    unit = 25.4 if inches else 1.0
    step = grid_step(camera, inches, 64.0)
    part = step / (4 if inches else 5)
    paper, ink, rule = (QColor(colours[name]) for name in ("paper", "faint", "rule"))
    w, h = camera.width, camera.height
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.fillRect(QRectF(0, 0, w, RULER), paper)
    painter.fillRect(QRectF(0, 0, RULER, h), paper)
    painter.setPen(QPen(rule, 1.0))
    painter.drawLine(QLineF(0, RULER - 0.5, w, RULER - 0.5))
    painter.drawLine(QLineF(RULER - 0.5, 0, RULER - 0.5, h))
    take_letters(painter, 10)
    painter.setPen(QPen(ink, 1.0))
    x0, y1 = camera.to_plate(RULER, RULER)
    x1, y0 = camera.to_plate(w, h)
    for k in range(math.ceil(x0 / part), math.floor(x1 / part) + 1):
        u = round(camera.to_pixels(k * part, 0)[0]) + 0.5
        long = abs(k * part / step - round(k * part / step)) < 1e-6
        painter.drawLine(QLineF(u, RULER - (9 if long else 4), u, RULER - 1))
        if long:
            painter.drawText(QRectF(u - 40, 1, 80, 13), Qt.AlignmentFlag.AlignCenter, _written(k * part / unit, inches))
    for k in range(math.ceil(y0 / part), math.floor(y1 / part) + 1):
        v = round(camera.to_pixels(0, k * part)[1]) + 0.5
        long = abs(k * part / step - round(k * part / step)) < 1e-6
        painter.drawLine(QLineF(RULER - (9 if long else 4), v, RULER - 1, v))
        if long:
            painter.save()
            painter.translate(7.5, v)
            painter.rotate(-90)
            painter.drawText(QRectF(-40, -6.5, 80, 13), Qt.AlignmentFlag.AlignCenter, _written(k * part / unit, inches))
            painter.restore()
    painter.fillRect(QRectF(0, 0, RULER, RULER), paper)
    painter.drawText(QRectF(0, 0, RULER, RULER), Qt.AlignmentFlag.AlignCenter, "in" if inches else "mm")
    if at is not None:
        u, v = camera.to_pixels(*at)
        painter.setPen(QPen(QColor(colours["lead_in"]), 1.5))
        if u > RULER:
            painter.drawLine(QLineF(u, 0, u, RULER - 1))
        if v > RULER:
            painter.drawLine(QLineF(0, v, RULER - 1, v))


def _written(value: float, inches: bool) -> str:
    value = 0.0 if abs(value) < 1e-9 else value
    if not inches or abs(value - round(value)) < 1e-9:
        return f"{value:.6g}"
    for under in (2, 4, 8, 16):
        over = value * under
        if abs(over - round(over)) < 1e-6:
            whole, rest = divmod(abs(round(over)), under)
            sign = "-" if value < 0 else ""
            return f"{sign}{whole} {rest}/{under}" if whole else f"{sign}{rest}/{under}"
    return f"{value:.4g}"


def label(
    painter: QPainter, x: float, y: float, text: str, ink: QColor, ground: QColor, *, size: int = 12, pad: float = 5.0
) -> QRectF:
    """Paint one line of text on its own ground with its left end at (x, y) in the middle of its height."""
    metrics = take_letters(painter, size)
    box = QRectF(
        x, y - metrics.height() / 2 - pad / 2, metrics.horizontalAdvance(text) + 2 * pad, metrics.height() + pad
    )
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ground)
    painter.drawRoundedRect(box, 4, 4)
    painter.setPen(ink)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
    return box


def crosshair(painter: QPainter, u: float, v: float, ink: QColor, size: float = 8.0) -> None:
    """Paint a small cross at a pixel."""
    painter.setPen(QPen(ink, 1.6))
    painter.drawLine(QPointF(u - size, v), QPointF(u + size, v))
    painter.drawLine(QPointF(u, v - size), QPointF(u, v + size))
