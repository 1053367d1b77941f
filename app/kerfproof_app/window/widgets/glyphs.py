"""Small signs on buttons, drawn in the ink of the theme."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap, QPolygonF

SIDE = 20


def _right(painter: QPainter, left: float, width: float) -> None:
    painter.drawPolygon(QPolygonF([QPointF(left, 4), QPointF(left + width, 10), QPointF(left, 16)]))


def _play(painter: QPainter) -> None:
    _right(painter, 5.5, 10.5)


def _pause(painter: QPainter) -> None:
    painter.drawRect(QRectF(5, 4, 3.5, 12))
    painter.drawRect(QRectF(11.5, 4, 3.5, 12))


def _next(painter: QPainter) -> None:
    _right(painter, 4, 8.5)
    painter.drawRect(QRectF(13, 4, 2.5, 12))


def _previous(painter: QPainter) -> None:
    painter.translate(SIDE, 0)
    painter.scale(-1, 1)
    _next(painter)


def _up(painter: QPainter) -> None:
    painter.drawPolygon(QPolygonF([QPointF(4, 14), QPointF(10, 6), QPointF(16, 14)]))


def _down(painter: QPainter) -> None:
    painter.drawPolygon(QPolygonF([QPointF(4, 6), QPointF(10, 14), QPointF(16, 6)]))


_SIGNS = {"play": _play, "pause": _pause, "next": _next, "previous": _previous, "up": _up, "down": _down}


def glyph(name: str, ink: QColor, faint: QColor) -> QIcon:
    """Return a sign as an icon, in `faint` where its button is disabled."""
    icon = QIcon()
    for colour, mode in ((ink, QIcon.Mode.Normal), (faint, QIcon.Mode.Disabled)):
        for scale in (1, 2, 3):
            picture = QPixmap(SIDE * scale, SIDE * scale)
            picture.fill(Qt.GlobalColor.transparent)
            painter = QPainter(picture)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.scale(scale, scale)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour)
            _SIGNS[name](painter)
            painter.end()
            icon.addPixmap(picture, mode)
    return icon
