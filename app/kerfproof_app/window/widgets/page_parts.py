"""What pages are built of: texts, buttons, and the columns and rows in which they stand."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QSize, Qt, SignalInstance
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

GLOVE = 32
"""Pixels that a button has at least in height, to be hit with gloves on."""
Margins = tuple[int, int, int, int]
"""Pixels left free: left, top, right, bottom."""
_Layout = TypeVar("_Layout", bound=QLayout)


def text_label(text: str = "", *, look: str = "") -> QLabel:
    """Return a text that goes on in the next line where it is long.

    `look` is empty, ``faint``, ``said`` or ``heading``.
    """
    label = QLabel(text)
    label.setObjectName(look)
    label.setWordWrap(True)
    return label


def heading(text: str) -> QLabel:
    """Return a heading of a page."""
    label = QLabel(text)
    label.setObjectName("heading")
    label.setContentsMargins(0, 10, 0, 2)
    return label


def large_heading(text: str, times: float) -> QLabel:
    """Return a bold heading in letters so many `times` as large as others."""
    label = QLabel(text)
    font = label.font()
    font.setPointSizeF(font.pointSizeF() * times)
    font.setBold(True)
    label.setFont(font)
    return label


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


def push_button(text: str, act: Callable[..., object] | SignalInstance, tip: str = "") -> QPushButton:
    """Return a button that does something when it is pressed."""
    button = QPushButton(text)
    button.setToolTip(tip)
    button.clicked.connect(act)
    return button


def column_layout(
    parent: QWidget | None = None, margins: Margins | None = None, spacing: int | None = None
) -> QVBoxLayout:
    """Return a layout from top to bottom, that of `parent` if there is one."""
    return _spaced(QVBoxLayout(parent) if parent is not None else QVBoxLayout(), margins, spacing)


def row_layout(
    parent: QWidget | None = None, margins: Margins | None = None, spacing: int | None = None
) -> QHBoxLayout:
    """Return a layout from left to right, that of `parent` if there is one."""
    return _spaced(QHBoxLayout(parent) if parent is not None else QHBoxLayout(), margins, spacing)


def _spaced(made: _Layout, margins: Margins | None, spacing: int | None) -> _Layout:
    if margins is not None:
        made.setContentsMargins(*margins)
    if spacing is not None:
        made.setSpacing(spacing)
    return made


def fill(place: QLayout | QSplitter | QStackedWidget, *widgets: QWidget) -> None:
    """Put widgets into a place, one behind the other."""
    for widget in widgets:
        place.addWidget(widget)


def clear(layout: QLayout) -> None:
    """Take all widgets out of a layout and give them up."""
    while layout.count():
        item = layout.takeAt(0)
        widget = item.widget() if item is not None else None
        if widget is not None:
            widget.hide()
            widget.deleteLater()


def scrolled(inner: QWidget, *, takes_focus: bool = False) -> QScrollArea:
    """Return a page that scrolls if the window is low; one that `takes_focus` scrolls by keys as well."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(inner)
    if not takes_focus:
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
