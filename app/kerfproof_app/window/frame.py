"""What the window is made of: three questions on top, the plate in the middle, pages beside it, the time below."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDragMoveEvent, QDropEvent
from PySide6.QtWidgets import QLabel, QMainWindow, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from kerfproof_app.window.findings.findings_panel import FindingsPanel
from kerfproof_app.window.header import Header
from kerfproof_app.window.plate.canvas import Canvas
from kerfproof_app.window.program.height_trace import HeightTrace
from kerfproof_app.window.program.scrubber import Scrubber
from kerfproof_app.window.shop.shop_pages import ShopPages
from kerfproof_app.window.widgets.background_task import Aside
from kerfproof_app.window.widgets.drop_sign import DropSign
from kerfproof_app.window.widgets.questions import QuestionBar
from kerfproof_app.window.worker import Worker
from kerfproof_app.work.session import Session

SMALLEST = (960, 620)


class Frame(QMainWindow):
    """Widgets and where they stand, and files that are dropped on them. `session` is shown by all of them."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.setObjectName("main")
        self.setWindowTitle("Kerfproof")
        self.setAcceptDrops(True)
        self.setMinimumSize(*SMALLEST)
        self.worker = Worker(session, self)
        self.aside = Aside(self)
        self.header = Header(session)
        self.question = QuestionBar()
        self.canvas = Canvas(session)
        self.scrubber = Scrubber(session)
        self.trace = HeightTrace(session)
        self.findings = FindingsPanel(session)
        self.side = QStackedWidget()
        self.side.addWidget(self.findings)
        self.side.setMinimumWidth(330)
        self.stack = QStackedWidget()
        self._lay()
        self.shop_pages = ShopPages(session, self.stack, self.aside)
        self.drop_sign = DropSign(self)

    def _lay(self) -> None:
        below = QWidget()
        rows = QVBoxLayout(below)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.scrubber)
        rows.addWidget(self.trace)
        self.trace.setMinimumHeight(70)
        self.column = QSplitter(Qt.Orientation.Vertical)
        self.column.addWidget(self.canvas)
        self.column.addWidget(below)
        self.column.setStretchFactor(0, 1)
        self.column.setCollapsible(0, False)
        self.column.setSizes([700, 150])
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.across.addWidget(self.column)
        self.across.addWidget(self.side)
        self.across.setStretchFactor(0, 1)
        self.across.setCollapsible(0, False)
        self.across.setCollapsible(1, False)
        self.across.setSizes([940, 390])
        self.stack.addWidget(self.across)
        middle = QWidget()
        all_rows = QVBoxLayout(middle)
        all_rows.setContentsMargins(0, 0, 0, 0)
        all_rows.setSpacing(0)
        all_rows.addWidget(self.header)
        all_rows.addWidget(self.question)
        all_rows.addWidget(self.stack, 1)
        self.setCentralWidget(middle)
        self.place = QLabel()
        self.place.setMinimumWidth(220)
        self.under = QLabel()
        self.under.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        self.statusBar().addWidget(self.under, 1)
        self.statusBar().addPermanentWidget(self.place)

    # --- files dropped ------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Show where to drop."""
        if event.mimeData().hasUrls():
            self.drop_sign.show_over(self._second_field())
            event.acceptProposedAction()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Show which half would take it."""
        self.drop_sign.aim(event.position().x())
        event.acceptProposedAction()

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        """Take the sign away."""
        self.drop_sign.hide()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open what was dropped: alone, or added to the job."""
        add = self.drop_sign.adds
        self.drop_sign.hide()
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        event.acceptProposedAction()
        if paths:
            self.open_files(paths, add=add)

    def _second_field(self) -> str:
        """Return what a drawing dropped on the right half does; empty with nothing open."""
        if self.session.version is None:
            return ""
        return self.tr("Add it to this job") if self.session.job is not None else self.tr("Compare the program with it")

    def open_files(self, paths: Sequence[Path], *, add: bool = False) -> None:
        """Open files, after a question if that would lose changes."""
        raise NotImplementedError
