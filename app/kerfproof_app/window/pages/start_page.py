"""What the window shows with nothing open: where to drop a drawing, the recent files, the drawings to try."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCommandLinkButton, QWidget

from kerfproof_app.window.widgets.page_parts import (
    TextLabel,
    clear,
    column_layout,
    fill,
    gap,
    heading,
    line_label,
    push_button,
    row_layout,
)
from kerfproof_app.window.widgets.pens import faded
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.work.session import Session

MOST = 6


class StartPage(QWidget):
    """Says what to do first. `open_wanted` asks for the dialog, `file_wanted` for a file, `demo_wanted` for a demo."""

    open_wanted = Signal()
    file_wanted = Signal(object)
    demo_wanted = Signal(str)
    set_up_wanted = Signal()

    def __init__(self, session: Session, demos: tuple[str, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("Start"))
        title = heading(self.tr("Drop a drawing here"), (0, 0, 0, 0), times=2.0)
        words = TextLabel(
            self.tr("A DXF drawing becomes a cut program, and the program is proven before you run it."), look="faint"
        )
        self.open = push_button(self.tr("Open a file ..."), self.open_wanted, height=38)
        self.set_up = push_button(self.tr("Set up your table ..."), self.set_up_wanted, height=38)
        self.demo_buttons = [self._demo_button(name) for name in demos]
        self.recent_box = column_layout()
        self.demo_box = column_layout(line_label(self.tr("To try"), look="heading"), *self.demo_buttons, 1)
        self.columns = row_layout(self.recent_box, self.demo_box)
        buttons = row_layout(self.open, self.set_up, 1)
        column_layout(
            title, words, buttons, gap(18), (self.columns, 1), parent=self, margins=(64, 56, 64, 48), spacing=14
        )
        self.refresh()

    def _demo_button(self, name: str) -> QCommandLinkButton:
        words = self.tr("a drawing that comes with this program")
        button = QCommandLinkButton(name.replace("-", " ").capitalize(), words)
        button.clicked.connect(lambda: self.demo_wanted.emit(name))
        return button

    def refresh(self) -> None:
        """List the recent files that still exist."""
        clear(self.recent_box)
        found = [path for path in self.session.memory.recent if path.is_file()][:MOST]
        self.columns.setStretchFactor(self.recent_box, 1 if found else 0)
        self.columns.setStretchFactor(self.demo_box, 1)
        if found:
            title = line_label(self.tr("Opened last"), look="heading")
            fill(self.recent_box, title, *map(self._button, found), 1)

    def _button(self, path: Path) -> QCommandLinkButton:
        button = QCommandLinkButton(path.name, str(path.parent))
        button.clicked.connect(lambda: self.file_wanted.emit(path))
        return button

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame into which to drop."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tones = tones_of(self)
        painter.setBrush(faded(tones["plate"], 60))
        painter.setPen(QPen(tones["plate_edge"], 2.0, Qt.PenStyle.DashLine))
        painter.drawRoundedRect(self.rect().adjusted(20, 20, -20, -20), 16, 16)
        painter.end()
