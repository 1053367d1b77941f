"""Small signs on buttons, drawn in the ink of the theme."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap, QPolygonF

from kerfproof_app.window.widgets.pens import faded
from kerfproof_app.window.widgets.tones import Tones

SIDE = 20


def add_pictures(
    icon: QIcon, side: int, paint: Callable[[QPainter], None], mode: QIcon.Mode = QIcon.Mode.Normal
) -> None:
    """Add to an icon what `paint` paints in a square of `side`, sharp on displays of up to three times the pixels."""
    for scale in (1, 2, 3):
        picture = QPixmap(side * scale, side * scale)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.scale(scale, scale)
        paint(painter)
        painter.end()
        icon.addPixmap(picture, mode)


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


def glyph(name: str, tones: Tones) -> QIcon:
    """Return a sign as an icon, pale where its button is disabled."""
    icon = QIcon()
    for ink, mode in ((tones["ink"], QIcon.Mode.Normal), (faded(tones["faint"], 110), QIcon.Mode.Disabled)):

        def paint(painter: QPainter, ink: QColor = ink) -> None:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(ink)
            _SIGNS[name](painter)

        add_pictures(icon, SIDE, paint, mode)
    return icon
