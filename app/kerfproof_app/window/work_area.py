"""The work in the middle of the window: the plate with the program's time below, and the pages at its side."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, Qt
from PySide6.QtWidgets import QSplitter, QStackedWidget, QWidget

from kerfproof_app.window.findings.findings_panel import FindingsPanel
from kerfproof_app.window.plate.canvas import Canvas
from kerfproof_app.window.program.height_trace import HeightTrace
from kerfproof_app.window.program.scrubber import Scrubber
from kerfproof_app.window.widgets.page_parts import column_layout, page_of
from kerfproof_app.window.widgets.typed_fields import restore_typed
from kerfproof_app.work.session import Session


class WorkArea(QSplitter):
    """Plate and pages side by side. Its sizes, and what of it is hidden, are remembered."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.session = session
        self.canvas = Canvas(session)
        self.scrubber = Scrubber(session)
        self.trace = HeightTrace(session)
        self.findings = FindingsPanel(session)
        self.side = QStackedWidget()
        self.side.addWidget(self.findings)
        self.side.setMinimumWidth(330)
        self.trace.setMinimumHeight(70)
        self.column = QSplitter(Qt.Orientation.Vertical)
        self.column.addWidget(self.canvas)
        self.column.addWidget(page_of(column_layout(self.scrubber, self.trace, margins=(0, 0, 0, 0), spacing=0)))
        self.column.setStretchFactor(0, 1)
        self.column.setCollapsible(0, False)
        self.column.setSizes([700, 150])
        self.addWidget(self.column)
        self.addWidget(self.side)
        self.setStretchFactor(0, 1)
        self.setCollapsible(0, False)
        self.setCollapsible(1, False)
        self.setSizes([940, 390])

    def restore(self) -> None:
        """Take the sizes it had when the window was closed, and hide the trace if it was hidden."""
        memory = self.session.memory
        for name, splitter in (("across", self), ("column", self.column)):
            kept = memory.get(name, "")
            if kept:
                splitter.restoreState(QByteArray.fromBase64(kept.encode()))
        self.trace.setVisible(bool(memory.get("trace", True)))

    def remember(self) -> None:
        """Remember the sizes."""
        for name, splitter in (("across", self), ("column", self.column)):
            self.session.memory.put(name, bytes(splitter.saveState().toBase64().data()).decode())

    def show_side(self, on: bool) -> None:
        """Show the side panel or not."""
        self.side.setVisible(on)
        self.session.memory.put("side", on)

    def show_trace(self, on: bool) -> None:
        """Show the height trace or not."""
        self.trace.setVisible(on)
        self.session.memory.put("trace", on)

    def undo(self) -> None:
        """Take the last step back, and what is typed and was refused."""
        restore_typed(self.side)
        self.session.undo()

    def redo(self) -> None:
        """Do the step last taken back again."""
        restore_typed(self.side)
        self.session.redo()
