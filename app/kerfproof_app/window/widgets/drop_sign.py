"""What is shown over the window while a file is held above it: where it will go."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from kerfproof_app.window.widgets.tones import tones_of


class DropSign(QWidget):
    """One field to drop into, or two while work is open: open alone, or add to the work (`adds`)."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.second, self.adds = "", False
        self.hide()

    @property
    def two(self) -> bool:
        """Whether there are two fields."""
        return bool(self.second)

    def show_over(self, second: str) -> None:
        """Cover the window; `second` is what the field on the right does, empty for none."""
        self.second, self.adds = second, False
        parent = self.parentWidget()
        assert parent is not None
        self.setGeometry(parent.rect())
        self.raise_()
        self.show()

    def aim(self, x: float) -> None:
        """Note over which half the file is held."""
        adds = self.two and x > self.width() / 2
        if adds != self.adds:
            self.adds = adds
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the fields."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tones = tones_of(self)
        veil = QColor(tones["paper"])
        veil.setAlpha(215)
        painter.fillRect(self.rect(), veil)
        words = [self.tr("Open it"), self.second] if self.two else [self.tr("Open it")]
        wide = self.width() / len(words)
        font = self.font()
        font.setPointSizeF(font.pointSizeF() * 1.8)
        font.setBold(True)
        painter.setFont(font)
        for k, text in enumerate(words):
            box = QRectF(k * wide + 24, 24, wide - 48, self.height() - 48)
            aimed = not self.two or (k == 1) == self.adds
            painter.setPen(
                QPen(tones["good"] if aimed else tones["plate_edge"], 4.0 if aimed else 2.0, Qt.PenStyle.DashLine)
            )
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 18, 18)
            painter.setPen(tones["ink"] if aimed else tones["faint"])
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
        painter.end()
