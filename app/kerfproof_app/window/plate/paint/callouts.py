"""The flags of findings on a picture: a shape for each severity, with the letter that its sentence bears."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from kerfproof.errors import Severity
from kerfproof.report.picture.flags import Callout
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.widgets.pens import outline, take_letters

Colours = Mapping[str, str]
MOST_PLACES = 800
"""Of findings alike in more places than this only the first has a mark."""


def paint_callouts(painter: QPainter, callouts: Sequence[Callout], camera: Camera, colours: Colours) -> None:
    """Paint a flag with its letter beside the place of each finding, the worst on top."""
    take_letters(painter, 12, bold=True)
    taken: list[tuple[float, float]] = []
    for callout in reversed(callouts):
        for u, v in _seen(camera, callout.more if len(callout.more) <= MOST_PLACES else ()):
            paint_flag(painter, u, v, callout.severity, "", colours, 4.0)
        for u, v in _seen(camera, () if callout.at is None else (callout.at,)):
            bu, bv = _spot(u, v, taken)
            outline(painter, QColor(colours["ink"]), 1.4)
            painter.drawLine(QPointF(u, v), QPointF(bu, bv))
            painter.drawEllipse(QPointF(u, v), 4.0, 4.0)
            paint_flag(painter, bu, bv, callout.severity, callout.letter, colours)


def _seen(camera: Camera, places: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Yield the pixels of the places that are in view, or nearly."""
    for u, v in (camera.to_pixels(*at) for at in places):
        if -20 <= u <= camera.width + 20 and -20 <= v <= camera.height + 20:
            yield u, v


def _spot(u: float, v: float, taken: list[tuple[float, float]]) -> tuple[float, float]:
    """Return a free place for a flag near a pixel."""
    for reach in (32.0, 58.0, 84.0, 110.0):
        for angle in (-0.9, -2.2, 0.6, 2.4, -1.57, 1.57):
            spot = u + reach * float(np.cos(angle)), v + reach * float(np.sin(angle))
            if all(abs(spot[0] - a) + abs(spot[1] - b) > 30 for a, b in taken):
                taken.append(spot)
                return spot
    return u + 32, v - 32


def paint_flag(
    painter: QPainter, u: float, v: float, severity: Severity, letter: str, colours: Colours, r: float = 11.0
) -> None:
    """Paint the flag of a finding: errors an octagon, warnings a triangle, notes a disc, each with its letter."""
    painter.setPen(QPen(QColor(colours["ink"]), 1.3))
    painter.setBrush(QColor(colours[severity.value]))
    sink = 0.0
    if severity is Severity.ERROR:
        turn = np.arange(8) * np.pi / 4 + np.pi / 8
        painter.drawPolygon(QPolygonF([QPointF(u + r * float(np.cos(a)), v + r * float(np.sin(a))) for a in turn]))
    elif severity is Severity.WARNING:
        sink = r * 0.22
        corners = [(0.0, -1.3), (1.25, 0.9), (-1.25, 0.9)]
        painter.drawPolygon(QPolygonF([QPointF(u + a * r, v + b * r) for a, b in corners]))
    else:
        painter.drawEllipse(QPointF(u, v), r - 1, r - 1)
    painter.setPen(QColor(colours[f"{severity.value}_ink"]))
    painter.drawText(QRectF(u - r, v - r + sink, 2 * r, 2 * r), Qt.AlignmentFlag.AlignCenter, letter)
