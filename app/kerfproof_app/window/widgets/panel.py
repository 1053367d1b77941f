"""What the panels beside the plate view have in common: they listen to the session as long as they live."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QWidget

from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

GLOVE = 32
"""Pixels that a button has at least in height, to be hit with gloves on."""


class Panel(QWidget):
    """A widget that is told of every change of the session, see `Session`."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.destroyed.connect(session.listen(self.told))

    def told(self, change: Change) -> None:
        """Take note of a change."""
        raise NotImplementedError


class NameLabel(QLabel):
    """A name of any length: what has no room is left out in its middle, and stands in the tool tip."""

    def setText(self, text: str) -> None:
        """Show a name."""
        super().setText(text)
        self.setToolTip(text)

    def minimumSizeHint(self) -> QSize:
        """Return room for a few letters."""
        return QSize(min(60, super().minimumSizeHint().width()), super().minimumSizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint as much of the name as there is room for."""
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        inside = self.contentsRect()
        text = painter.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideMiddle, inside.width())
        painter.drawText(inside, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)
        painter.end()


def heading(text: str) -> QLabel:
    """Return a heading of a page."""
    label = QLabel(text)
    label.setObjectName("heading")
    label.setContentsMargins(0, 10, 0, 2)
    return label


def scrolled(inner: QWidget) -> QScrollArea:
    """Return a page that scrolls if the window is low."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(inner)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
