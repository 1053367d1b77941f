"""What painters take in hand: pens of the same width on every display, pale colors, letters of a size."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen


def thin_pen(painter: QPainter, ink: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Return a pen of `width` pixels whatever the painter's scale.

    Qt takes the width of such a pen in the display's own pixels, so on a display with twice as many it has to be
    twice as much.
    """
    pen = QPen(ink, width * painter.device().devicePixelRatioF(), style)
    pen.setCosmetic(True)
    return pen


def faded(ink: QColor, alpha: int) -> QColor:
    """Return a color through which what lies below is seen; 0 is nothing, 255 hides it."""
    made = QColor(ink)
    made.setAlpha(alpha)
    return made


def take_letters(painter: QPainter, pixels: int, *, bold: bool = False) -> QFontMetricsF:
    """Let a painter write in letters of so many pixels, and return their measures."""
    font = QFont(painter.font())
    font.setPixelSize(pixels)
    font.setBold(bold)
    painter.setFont(font)
    return QFontMetricsF(font)


def outline(painter: QPainter, ink: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> None:
    """Let a painter draw lines of so many pixels and leave what they enclose as it is."""
    painter.setPen(QPen(ink, width, style))
    painter.setBrush(Qt.BrushStyle.NoBrush)
