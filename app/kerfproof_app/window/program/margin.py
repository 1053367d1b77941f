"""The margin of the program text: line numbers, marks of findings with their sentences, the present line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QRectF, QSize, Qt
from PySide6.QtGui import QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QToolTip, QWidget

from kerfproof_app.window.widgets.severity_marks import paint_mark
from kerfproof_app.window.widgets.tones import Tones, tones_of

if TYPE_CHECKING:
    from kerfproof_app.window.program.text import ProgramText


class Margin(QWidget):
    """Line numbers, marks of findings, and the pointer at the present line."""

    def __init__(self, text: ProgramText) -> None:
        super().__init__(text)
        self._text = text
        self.setAccessibleName(self.tr("Margin with findings"))

    def sizeHint(self) -> QSize:
        """Return the width wanted."""
        return QSize(self._text.margin_width(), 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the margin of the lines in sight."""
        painter = QPainter(self)
        tones = tones_of(self._text)
        painter.fillRect(event.rect(), self._ground(tones))
        side = self._text.mark_side()
        painter.setFont(self._text.font())
        right = self.width() - side - 8
        for line, top, height in self._text.lines_in_sight():
            found = self._text.findings_at(line)
            if found:
                paint_mark(painter, QRectF(4, top + (height - side) / 2, side, side), found[0].severity, tones)
            present = line == self._text.present_line
            painter.setPen(tones["ink"] if present else tones["faint"])
            box = QRectF(0, top, right, height)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(line))
            if present:
                self._point(painter, tones, right + 3, top + height / 2, side)
        painter.end()

    @staticmethod
    def _ground(tones: Tones) -> object:
        return tones["paper"] if not tones.dark else tones.field.lighter(118)

    @staticmethod
    def _point(painter: QPainter, tones: Tones, x: float, y: float, side: float) -> None:
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(tones.needle)
        half = side / 2
        points = [QPoint(int(x), int(y - half)), QPoint(int(x + side * 0.8), int(y)), QPoint(int(x), int(y + half))]
        painter.drawPolygon(QPolygonF(points))
        painter.restore()

    def event(self, event: QEvent) -> bool:
        """Show the sentences of a line's findings as a tip."""
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            tip = self.tip_at(event.pos().y())
            if tip:
                QToolTip.showText(event.globalPos(), tip, self)
            else:
                QToolTip.hideText()
                event.ignore()
            return True
        return super().event(event)

    def tip_at(self, y: int) -> str:
        """Return the sentences of the findings of the line at a height."""
        line = self._text.line_at(y)
        return self._text.told_at(line) if line is not None else ""

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Choose the line clicked."""
        line = self._text.line_at(int(event.position().y()))
        if line is not None:
            self._text.line_chosen.emit(line)
