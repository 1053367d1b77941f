"""The marks of severities: a shape and a sign each, so that none is told by its colour alone."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPen, QPolygonF

from kerfproof.errors import Severity
from kerfproof_app.window.widgets.glyphs import add_pictures
from kerfproof_app.window.widgets.pens import take_letters
from kerfproof_app.window.widgets.tones import SIGNS, Tones


def paint_mark(painter: QPainter, box: QRectF, severity: Severity, tones: Tones, letter: str = "") -> None:
    """Paint the mark of a severity into a square: errors an octagon, warnings a triangle, notes a disc.

    `letter` stands in it in place of the sign: that of the flag on the plate.
    """
    ground, ink = tones.severity(severity)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(tones["note_ink"], 1.0) if severity is Severity.NOTE else Qt.PenStyle.NoPen)
    painter.setBrush(ground)
    sign_box = QRectF(box)
    if severity is Severity.ERROR:
        cut = box.width() * 0.29
        x0, y0, x1, y1 = box.left(), box.top(), box.right(), box.bottom()
        corners = [(x0 + cut, y0), (x1 - cut, y0), (x1, y0 + cut), (x1, y1 - cut)]
        corners += [(x1 - cut, y1), (x0 + cut, y1), (x0, y1 - cut), (x0, y0 + cut)]
        painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in corners]))
    elif severity is Severity.WARNING:
        top = QPointF(box.center().x(), box.top())
        painter.drawPolygon(QPolygonF([top, box.bottomRight(), box.bottomLeft()]))
        sign_box.adjust(0, box.height() * 0.2, 0, 0)
    else:
        painter.drawEllipse(box.adjusted(0.5, 0.5, -0.5, -0.5))
    take_letters(painter, max(int(box.height() * 0.68), 6), bold=True)
    painter.setPen(ink)
    painter.drawText(sign_box, Qt.AlignmentFlag.AlignCenter, letter or SIGNS[severity])
    painter.restore()


def mark_icon(severity: Severity, tones: Tones, side: int = 16) -> QIcon:
    """Return the mark of a severity as an icon."""
    icon = QIcon()
    add_pictures(icon, side, lambda painter: paint_mark(painter, QRectF(1, 1, side - 2, side - 2), severity, tones))
    return icon
