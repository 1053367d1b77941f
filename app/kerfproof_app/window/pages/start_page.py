"""What the window shows with nothing open: where to drop a drawing, the recent files, the drawings to try."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCommandLinkButton, QLabel, QPushButton, QWidget

from kerfproof_app.window.widgets.page_parts import clear, column_layout, fill, large_heading, row_layout, text_label
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
        title = large_heading(self.tr("Drop a drawing here"), 2.0)
        words = text_label(
            self.tr("A DXF drawing becomes a cut program, and the program is proven before you run it."), look="faint"
        )
        self.open = QPushButton(self.tr("Open a file ..."))
        self.open.setMinimumHeight(38)
        self.open.clicked.connect(self.open_wanted)
        self.set_up = QPushButton(self.tr("Set up your table ..."))
        self.set_up.setMinimumHeight(38)
        self.set_up.clicked.connect(self.set_up_wanted)
        row = row_layout()
        fill(row, self.open, self.set_up)
        row.addStretch(1)
        self.columns = row_layout()
        self.recent_box = column_layout()
        self.demo_box = column_layout()
        heading = QLabel(self.tr("To try"))
        heading.setObjectName("heading")
        self.demo_box.addWidget(heading)
        self.demo_buttons = []
        for name in demos:
            button = QCommandLinkButton(
                name.replace("-", " ").capitalize(), self.tr("a drawing that comes with this program")
            )
            button.clicked.connect(lambda _checked=False, name=name: self.demo_wanted.emit(name))
            self.demo_box.addWidget(button)
            self.demo_buttons.append(button)
        self.demo_box.addStretch(1)
        self.columns.addLayout(self.recent_box)
        self.columns.addLayout(self.demo_box)
        rows = column_layout(self, (64, 56, 64, 48), 14)
        fill(rows, title, words)
        rows.addLayout(row)
        rows.addSpacing(18)
        rows.addLayout(self.columns, 1)
        self.refresh()

    def refresh(self) -> None:
        """List the recent files that still exist."""
        clear(self.recent_box)
        found = [path for path in self.session.memory.recent if path.is_file()][:MOST]
        self.columns.setStretchFactor(self.recent_box, 1 if found else 0)
        self.columns.setStretchFactor(self.demo_box, 1)
        if not found:
            return
        heading = QLabel(self.tr("Opened last"))
        heading.setObjectName("heading")
        self.recent_box.addWidget(heading)
        for path in found:
            self.recent_box.addWidget(self._button(path))
        self.recent_box.addStretch(1)

    def _button(self, path: Path) -> QCommandLinkButton:
        button = QCommandLinkButton(path.name, str(path.parent))
        button.clicked.connect(lambda: self.file_wanted.emit(path))
        return button

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame into which to drop."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tones = tones_of(self)
        ground = QColor(tones["plate"])
        ground.setAlpha(60)
        painter.setBrush(ground)
        painter.setPen(QPen(tones["plate_edge"], 2.0, Qt.PenStyle.DashLine))
        painter.drawRoundedRect(self.rect().adjusted(20, 20, -20, -20), 16, 16)
        painter.end()
