"""The picture of heights over time: where second and height lie, the curve thinned to pixels, bands and axes."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log10

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from kerfproof.geom.path import Floats
from kerfproof_app.window.widgets.pens import faded
from kerfproof_app.window.widgets.tones import Tones
from kerfproof_app.window.widgets.words import tr

_STEPS = (1.0, 2.0, 5.0)
_CLOCK_STEPS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800)


@dataclass(frozen=True, slots=True)
class Scale:
    """Where things lie: the field in pixels, the seconds `left` to `right` and the heights `low` to `high` in it."""

    field_left: float
    field_top: float
    field_width: float
    field_height: float
    left: float
    right: float
    low: float
    high: float

    @property
    def field(self) -> QRectF:
        """The field of the curve."""
        return QRectF(self.field_left, self.field_top, self.field_width, self.field_height)

    def x_of(self, seconds: float) -> float:
        """Return where a second lies."""
        return self.field_left + (seconds - self.left) / (self.right - self.left) * self.field_width

    def y_of(self, height: float) -> float:
        """Return where a height over the plate lies."""
        return self.field_top + (self.high - height) / (self.high - self.low) * self.field_height

    def second_at(self, x: float) -> float:
        """Return the second that lies at a pixel."""
        return self.left + (x - self.field_left) / self.field_width * (self.right - self.left)


def bounds_of(curve: Floats) -> tuple[float, float]:
    """Return the lowest and the highest height to be shown, the plate among them."""
    if not len(curve):
        return -1.0, 1.0
    low, high = float(curve[:, 1].min()), float(curve[:, 1].max())
    room = max((high - low) * 0.08, 1.0)
    return min(low, 0.0) - room, max(high, 0.0) + room


def seen_curve(curve: Floats, scale: Scale) -> Floats:
    """Return the pixels (k, 2) of the curve in sight: at most lowest and highest of each pixel column."""
    t = curve[:, 0]
    first = max(int(np.searchsorted(t, scale.left)) - 1, 0)
    last = min(int(np.searchsorted(t, scale.right, side="right")) + 1, len(t))
    t, h = t[first:last], curve[first:last, 1]
    x = scale.field_left + (t - scale.left) / (scale.right - scale.left) * scale.field_width
    y = scale.field_top + (scale.high - h) / (scale.high - scale.low) * scale.field_height
    if len(x) > 4 * scale.field_width:
        column = np.floor(x)
        starts = np.flatnonzero(np.concatenate([[True], np.diff(column) > 0]))
        top, bottom = np.minimum.reduceat(y, starts), np.maximum.reduceat(y, starts)
        x = np.repeat(column[starts] + 0.5, 2)
        y = np.column_stack([top, bottom]).ravel()
    return np.column_stack([x, y])


def seen_bands(burning: Floats, scale: Scale) -> Floats:
    """Return left and right pixel (k, 2) of the bands with the torch on; those nearer than a pixel run together."""
    seen = burning[(burning[:, 1] >= scale.left) & (burning[:, 0] <= scale.right)]
    if not len(seen):
        return np.empty((0, 2))
    x = scale.field_left + (seen - scale.left) / (scale.right - scale.left) * scale.field_width
    apart = np.concatenate([[True], x[1:, 0] - x[:-1, 1] >= 1.0])
    first = np.flatnonzero(apart)
    last = np.concatenate([first[1:] - 1, [len(x) - 1]])
    return np.column_stack([x[first, 0], np.maximum(x[last, 1], x[first, 0] + 1.0)])


def paint_heights(
    painter: QPainter, scale: Scale, curve: Floats, burning: Floats, tones: Tones, *, inches: bool
) -> None:
    """Paint all that does not move with the scrubber."""
    field = scale.field
    painter.fillRect(field, tones.field)
    painter.setClipRect(field)
    _paint_burning(painter, scale, burning, tones)
    _paint_plate(painter, scale, tones)
    _paint_curve(painter, seen_curve(curve, scale), tones)
    if curve[:, 1].min() < -3:
        _name_float(painter, scale, tones)
    painter.setClipping(False)
    _paint_height_axis(painter, scale, tones, inches)
    _paint_clock(painter, scale, tones)


def _paint_burning(painter: QPainter, scale: Scale, burning: Floats, tones: Tones) -> None:
    """Paint a band where the torch is on, and name the first that is wide enough."""
    band = faded(tones["hot"], 70 if tones.dark else 110)
    field, words = scale.field, tr("torch on")
    wide, named = painter.fontMetrics().horizontalAdvance(words) + 10, False
    for x0, x1 in seen_bands(burning, scale).tolist():
        painter.fillRect(QRectF(x0, field.top(), x1 - x0, field.height()), band)
        painter.fillRect(QRectF(x0, field.top(), x1 - x0, 3), tones["lead_in"])
        begin = max(x0, field.left())
        if not named and min(x1, field.right()) - begin > wide:
            painter.setPen(tones["ink"])
            painter.drawText(QPointF(begin + 5, field.top() + 5 + painter.fontMetrics().ascent()), words)
            named = True


def _paint_plate(painter: QPainter, scale: Scale, tones: Tones) -> None:
    """Paint the plate, and what is below it: there the head floats on the seated tip."""
    field, plate = scale.field, scale.y_of(0.0)
    below = QRectF(field.left(), plate, field.width(), field.bottom() - plate)
    painter.fillRect(below, faded(tones["plate"], 90))
    painter.setPen(QPen(tones["plate_edge"], 1.5))
    painter.drawLine(QPointF(field.left(), plate), QPointF(field.right(), plate))


def _paint_curve(painter: QPainter, points: Floats, tones: Tones) -> None:
    if len(points) > 3 * (points[-1, 0] - points[0, 0] + 1) / 2:  # thinned: a stroke for each pixel column
        pairs = points.reshape(-1, 2, 2) if len(points) % 2 == 0 else np.empty((0, 2, 2))
        pale = faded(tones["ink"], 60)  # or many touch-offs would be one block in which no burning is seen
        painter.setPen(QPen(pale, 1))
        painter.drawLines([QLineF(a[0], a[1], b[0], b[1]) for a, b in pairs.tolist()])
        painter.setPen(QPen(tones["ink"], 1))
        for edge in (pairs[:, 0], pairs[:, 1]):
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in edge.tolist()]))
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(tones["ink"], 1.6))
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points.tolist()]))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)


def _name_float(painter: QPainter, scale: Scale, tones: Tones) -> None:
    field, text = scale.field, tr("in the float")
    if field.bottom() - scale.y_of(0.0) < painter.fontMetrics().height() + 4:
        return
    box = QRectF(painter.fontMetrics().boundingRect(text)).adjusted(-4, -1, 4, 1)
    box.moveBottomRight(field.bottomRight() - QPointF(3, 2))
    painter.fillRect(box, faded(tones.field, 210))
    painter.setPen(tones["faint"])
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)


def _paint_height_axis(painter: QPainter, scale: Scale, tones: Tones, inches: bool) -> None:
    unit, name = (25.4, "in") if inches else (1.0, "mm")
    field = scale.field
    step = _round_step((scale.high - scale.low) / unit / max(field.height() / 26, 2)) * unit
    painter.setPen(tones["faint"])
    flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
    for k in range(ceil(scale.low / step), int(scale.high // step) + 1):
        y = scale.y_of(k * step)
        text = tr("plate") if k == 0 else f"{k * step / unit:g} {name}"
        painter.drawText(QRectF(0, y - 10, field.left() - 8, 20), flags, text)
        painter.drawLine(QPointF(field.left() - 5, y), QPointF(field.left(), y))


def _paint_clock(painter: QPainter, scale: Scale, tones: Tones) -> None:
    field = scale.field
    step = _round_clock((scale.right - scale.left) / max(field.width() / 90, 2))
    painter.setPen(tones["faint"])
    for k in range(ceil(scale.left / step), int(scale.right // step) + 1):
        x = scale.x_of(k * step)
        painter.drawLine(QPointF(x, field.bottom()), QPointF(x, field.bottom() + 4))
        box = QRectF(x - 45, field.bottom() + 4, 90, painter.fontMetrics().height())
        if box.right() <= field.right() + 38:
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, clock(k * step))


def _round_step(least: float) -> float:
    """Return the smallest of 1, 2, 5 times a power of ten that is at least `least`."""
    power = 10.0 ** np.floor(log10(max(least, 1e-6)))
    return float(next((power * s for s in _STEPS if power * s >= least * 0.999), power * 10))


def _round_clock(least: float) -> float:
    """Return a step of a clock of at least `least` seconds."""
    return float(next((step for step in _CLOCK_STEPS if step >= least), ceil(least / 3600) * 3600))


def clock(seconds: float) -> str:
    """Return seconds as minutes and seconds, with tenths: ``3:07.5``; hours before them where there are some."""
    tenths = round(seconds * 10)
    minutes, rest = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    second = f"{rest // 10:02d}" + (f".{rest % 10}" if rest % 10 else "")
    return f"{hours}:{minutes:02d}:{second}" if hours else f"{minutes}:{second}"
