"""The margin of the program text: line numbers, marks of findings with their sentences, the present line."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPoint, QRectF, Qt, Signal
from PySide6.QtGui import QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QPlainTextEdit, QToolTip, QWidget

from kerfproof.errors import Finding, Severity
from kerfproof_app.window.widgets.severity_marks import paint_mark
from kerfproof_app.window.widgets.tones import Tones, tones_of

_WEIGHT = {Severity.NOTE: 0, Severity.WARNING: 1, Severity.ERROR: 2}


class Margin(QWidget):
    """Line numbers, marks of findings, and the pointer at the present line. `chosen` tells a line clicked."""

    chosen = Signal(int)

    def __init__(self, text: QPlainTextEdit) -> None:
        super().__init__(text)
        self._text = text
        self._found: dict[int, list[Finding]] = {}
        self.present: int | None = None
        """The line marked as the present one."""
        self.inches = False
        self.setAccessibleName(self.tr("Margin with findings"))

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Show the findings that name a line."""
        self._found = {}
        for finding in findings:
            if finding.line is not None:
                self._found.setdefault(finding.line, []).append(finding)
        self.update()

    def findings_at(self, line: int) -> tuple[Finding, ...]:
        """Return the findings of a line, the worst first."""
        return tuple(sorted(self._found.get(line, ()), key=lambda f: -_WEIGHT[f.severity]))

    def wide(self) -> int:
        """Return how wide the margin is: numbers, a mark and the pointer of the present line."""
        digits = max(len(str(self._text.blockCount())), 3)
        return self._text.fontMetrics().horizontalAdvance("9") * digits + 2 * self._mark_side() + 14

    def _mark_side(self) -> int:
        return max(int(self._text.fontMetrics().lineSpacing() * 0.92), 8)

    def lines_in_sight(self) -> list[tuple[int, float, float]]:
        """Return number (from 1), top and height of each line in sight."""
        text, found = self._text, []
        block = text.firstVisibleBlock()
        top = text.blockBoundingGeometry(block).translated(text.contentOffset()).top()
        while block.isValid() and top <= text.viewport().height():
            height = text.blockBoundingRect(block).height()
            found.append((block.blockNumber() + 1, top, height))
            top += height
            block = block.next()
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the margin of the lines in sight."""
        painter = QPainter(self)
        tones = tones_of(self)
        painter.fillRect(event.rect(), self._ground(tones))
        side = self._mark_side()
        painter.setFont(self._text.font())
        right = self.width() - side - 8
        for line, top, height in self.lines_in_sight():
            found = self.findings_at(line)
            if found:
                paint_mark(painter, QRectF(4, top + (height - side) / 2, side, side), found[0].severity, tones)
            present = line == self.present
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
        return "\n".join(f.sentence(self.inches) for f in self.findings_at(self._line_at(y)))

    def _line_at(self, y: float) -> int:
        """Return the line at a height, 0 below the last."""
        return next((line for line, top, height in self.lines_in_sight() if top <= y < top + height), 0)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Choose the line clicked."""
        line = self._line_at(event.position().y())
        if line:
            self.chosen.emit(line)
