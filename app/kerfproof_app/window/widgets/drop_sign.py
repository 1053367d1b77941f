"""Files dropped on the window: while one is held above it, where it will go."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDragMoveEvent, QDropEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from kerfproof_app.window.widgets.pens import faded, outline
from kerfproof_app.window.widgets.tones import tones_of


class DropSign(QWidget):
    """One field to drop into, or two while work is open: open alone, or add to the work (`adds`).

    `dropped` tells the files and whether they are to be added. `second_field` returns what the field on the right
    does, empty for none.
    """

    dropped = Signal(object, bool)

    def __init__(self, window: QWidget, second_field: Callable[[], str]) -> None:
        super().__init__(window)
        self._second_field = second_field
        window.setAcceptDrops(True)
        window.installEventFilter(self)
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

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Show where to drop, and tell what is dropped."""
        if isinstance(event, QDropEvent) and event.type() is QEvent.Type.Drop:
            self.hide()
            paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
            event.acceptProposedAction()
            if paths:
                self.dropped.emit(paths, self.adds)
        elif isinstance(event, QDragEnterEvent) and event.type() is QEvent.Type.DragEnter:
            if event.mimeData().hasUrls():
                self.show_over(self._second_field())
                event.acceptProposedAction()
        elif isinstance(event, QDragMoveEvent) and event.type() is QEvent.Type.DragMove:
            self.aim(event.position().x())
            event.acceptProposedAction()
        elif event.type() is QEvent.Type.DragLeave:
            self.hide()
        else:
            return super().eventFilter(watched, event)
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the fields."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tones = tones_of(self)
        painter.fillRect(self.rect(), faded(tones["paper"], 215))
        words = [self.tr("Open it"), self.second] if self.two else [self.tr("Open it")]
        wide = self.width() / len(words)
        font = self.font()
        font.setPointSizeF(font.pointSizeF() * 1.8)
        font.setBold(True)
        painter.setFont(font)
        for k, text in enumerate(words):
            box = QRectF(k * wide + 24, 24, wide - 48, self.height() - 48)
            aimed = not self.two or (k == 1) == self.adds
            ink, width = (tones["good"], 4.0) if aimed else (tones["plate_edge"], 2.0)
            outline(painter, ink, width, Qt.PenStyle.DashLine)
            painter.drawRoundedRect(box, 18, 18)
            painter.setPen(tones["ink"] if aimed else tones["faint"])
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
        painter.end()
