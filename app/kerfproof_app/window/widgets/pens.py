"""Pens whose width does not grow with the drawing, of the same width on every display."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPen


def thin_pen(painter: QPainter, ink: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Return a pen of `width` pixels whatever the painter's scale.

    Qt takes the width of such a pen in the display's own pixels, so on a display with twice as many it has to be
    twice as much.
    """
    pen = QPen(ink, width * painter.device().devicePixelRatioF(), style)
    pen.setCosmetic(True)
    return pen
