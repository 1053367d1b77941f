"""The margin of the program text: line numbers, marks of findings with their sentences, the present line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import QEvent, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QToolTip, QWidget

from kerfproof.errors import Finding
from kerfproof_app.window.widgets.severity_marks import paint_mark
from kerfproof_app.window.widgets.tones import Tones, tones_of


class NumberedLines(Protocol):
    """The lines that the margin stands beside."""

    @property
    def present_line(self) -> int | None:
        """The line marked as the present one."""
        ...

    def font(self) -> QFont:
        """Return the font of the lines."""
        ...

    def margin_width(self) -> int:
        """Return how wide the margin is."""
        ...

    def mark_side(self) -> int:
        """Return the side of a mark."""
        ...

    def line_at(self, y: int) -> int | None:
        """Return the line (from 1) at a height, None below the last."""
        ...

    def lines_in_sight(self) -> Sequence[tuple[int, float, float]]:
        """Return number, top and height of each line in sight."""
        ...

    def findings_at(self, line: int) -> Sequence[Finding]:
        """Return the findings of a line, the worst first."""
        ...

    def told_at(self, line: int) -> str:
        """Return the sentences of the findings at a line."""
        ...


class Margin(QWidget):
    """Line numbers, marks of findings, and the pointer at the present line. `chosen` tells a line clicked."""

    chosen = Signal(int)

    def __init__(self, lines: NumberedLines, parent: QWidget) -> None:
        super().__init__(parent)
        self._lines = lines
        self.setAccessibleName(self.tr("Margin with findings"))

    def sizeHint(self) -> QSize:
        """Return the width wanted."""
        return QSize(self._lines.margin_width(), 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the margin of the lines in sight."""
        painter = QPainter(self)
        tones = tones_of(self)
        painter.fillRect(event.rect(), self._ground(tones))
        side = self._lines.mark_side()
        painter.setFont(self._lines.font())
        right = self.width() - side - 8
        for line, top, height in self._lines.lines_in_sight():
            found = self._lines.findings_at(line)
            if found:
                paint_mark(painter, QRectF(4, top + (height - side) / 2, side, side), found[0].severity, tones)
            present = line == self._lines.present_line
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
        line = self._lines.line_at(y)
        return self._lines.told_at(line) if line is not None else ""

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Choose the line clicked."""
        line = self._lines.line_at(int(event.position().y()))
        if line is not None:
            self.chosen.emit(line)
