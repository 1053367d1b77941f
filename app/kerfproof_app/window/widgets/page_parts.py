"""What pages are built of: texts, buttons, and the columns and rows in which they stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

from PySide6.QtCore import QSize, Qt, SignalInstance
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QSpacerItem,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from kerfproof.errors import KerfproofError
from kerfproof.sentence import Phrase

GLOVE = 32
"""Pixels that a button has at least in height, to be hit with gloves on."""
Margins = tuple[int, int, int, int]
"""Pixels left free: left, top, right, bottom."""
Part = QWidget | QLayout | QSpacerItem | int | tuple[Any, ...]
"""What stands in a row or column: a widget or a layout, alone or with how it is put there (stretch, alignment).

A number is free room that stretches so much.
"""
_Box = TypeVar("_Box", bound=QBoxLayout)


class TextLabel(QLabel):
    """A text that goes on in the next line where it is long. `look` is empty, ``faint``, ``said`` or ``heading``."""

    def __init__(self, text: str = "", *, look: str = "") -> None:
        super().__init__(text)
        self.setObjectName(look)
        self.setWordWrap(True)

    def say(self, text: str) -> None:
        """Show a text; an empty one takes no room."""
        self.setText(text)
        self.setVisible(bool(text))

    @contextmanager
    def refusals(self, told: Callable[[Phrase], str] = str) -> Iterator[None]:
        """Say what is refused inside, and go on behind it; `told` makes words of it."""
        try:
            yield
        except KerfproofError as error:
            self.say(told(error.phrase()))


def line_label(text: str = "", *, look: str = "") -> QLabel:
    """Return a text of one line."""
    label = QLabel(text)
    label.setObjectName(look)
    return label


def heading(text: str, room: Margins = (0, 10, 0, 2), *, times: float = 1.0) -> QLabel:
    """Return a heading in letters so many `times` as large as others, with room round it."""
    label = line_label(text, look="heading")
    label.setContentsMargins(*room)
    if times != 1.0:
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


def push_button(
    text: str, act: Callable[..., object] | SignalInstance, tip: str = "", *, look: str = "", height: int = 0
) -> QPushButton:
    """Return a button that does something when it is pressed."""
    button = QPushButton(text)
    button.setObjectName(look)
    button.setToolTip(tip)
    button.setMinimumHeight(height)
    button.clicked.connect(act)
    return button


def tool_button(sign: str, act: Callable[..., object] | SignalInstance, name: str) -> QToolButton:
    """Return a flat button that bears a sign; `name` says in words what it does."""
    button = QToolButton()
    button.setText(sign)
    button.setAutoRaise(True)
    button.setToolTip(name)
    button.setAccessibleName(name)
    button.clicked.connect(act)
    return button


def column_layout(
    *parts: Part, parent: QWidget | None = None, margins: Margins | None = None, spacing: int | None = None
) -> QVBoxLayout:
    """Return a layout of parts from top to bottom, that of `parent` if there is one."""
    return _made(QVBoxLayout(), parts, parent, margins, spacing)


def row_layout(
    *parts: Part, parent: QWidget | None = None, margins: Margins | None = None, spacing: int | None = None
) -> QHBoxLayout:
    """Return a layout of parts from left to right, that of `parent` if there is one."""
    return _made(QHBoxLayout(), parts, parent, margins, spacing)


def _made(
    box: _Box, parts: tuple[Part, ...], parent: QWidget | None, margins: Margins | None, spacing: int | None
) -> _Box:
    if parent is not None:
        parent.setLayout(box)  # first, or what is shown before would be a window for a moment
    if margins is not None:
        box.setContentsMargins(*margins)
    if spacing is not None:
        box.setSpacing(spacing)
    fill(box, *parts)
    return box


def fill(box: QBoxLayout, *parts: Part) -> None:
    """Put parts into a row or column, one behind the other."""
    for part in parts:
        if isinstance(part, int):
            box.addStretch(part)
            continue
        if isinstance(part, QSpacerItem):
            box.addItem(part)
            continue
        inner, *how = part if isinstance(part, tuple) else (part,)
        (box.addLayout if isinstance(inner, QLayout) else box.addWidget)(inner, *how)


def gap(pixels: int) -> QSpacerItem:
    """Return free room between the parts of a column."""
    return QSpacerItem(0, pixels, QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)


def left(widget: QWidget) -> Part:
    """Return a widget as a part that stays as narrow as it is, at the left."""
    return widget, 0, Qt.AlignmentFlag.AlignLeft


def page_of(layout: QLayout) -> QWidget:
    """Return a page that holds a layout."""
    page = QWidget()
    page.setLayout(layout)
    return page


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
