"""Fields of the side panels: a value with its unit, what the chart says instead, and what is wrong, at the field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QLineEdit, QToolButton, QVBoxLayout, QWidget

from kerfproof.errors import KerfproofError
from kerfproof.units import (
    ANGLE,
    CURRENT,
    FEED,
    LENGTH,
    TIME,
    Kind,
    format_feed,
    format_length,
    format_size,
    parse,
    parse_size,
)


class Row(QWidget):
    """A caption, an editor, and two quiet lines: what else would stand there, and what is wrong."""

    def __init__(self, caption: str, editor: QWidget, tip: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.editor = editor
        self.caption = QLabel(caption)
        self.caption.setBuddy(editor)
        self.caption.setMinimumWidth(118)
        self.caption.setWordWrap(True)
        editor.setAccessibleName(caption)
        if tip:
            editor.setToolTip(tip)
            editor.setAccessibleDescription(tip)
        self.hint = QLabel()
        self.hint.setObjectName("faint")
        self.hint.setWordWrap(True)
        self.hint.hide()
        self.said = QLabel()
        self.said.setObjectName("said")
        self.said.setWordWrap(True)
        self.said.hide()
        self.line = QHBoxLayout()
        self.line.setSpacing(6)
        self.line.addWidget(self.caption)
        self.line.addWidget(editor, 1)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 2, 0, 2)
        rows.setSpacing(1)
        rows.addLayout(self.line)
        below = QVBoxLayout()
        below.setContentsMargins(124, 0, 0, 0)
        below.setSpacing(0)
        below.addWidget(self.hint)
        below.addWidget(self.said)
        rows.addLayout(below)

    def show_hint(self, text: str) -> None:
        """Show a quiet line below; empty hides it."""
        self.hint.setText(text)
        self.hint.setVisible(bool(text))

    def complain(self, text: str) -> None:
        """Say what is wrong at the field; empty takes it back."""
        self.said.setText(text)
        self.said.setVisible(bool(text))
        self.editor.setProperty("wrong", bool(text))
        self.editor.style().unpolish(self.editor)
        self.editor.style().polish(self.editor)


class TypedField(Row):
    """A value that is typed. `changed` tells it; what can't be read says why and stays to be mended."""

    changed = Signal(object)

    def __init__(self, caption: str, tip: str = "", parent: QWidget | None = None) -> None:
        self.edit = QLineEdit()
        super().__init__(caption, self.edit, tip, parent)
        self.value: Any = None
        self.edit.editingFinished.connect(self.commit)

    def read(self, text: str) -> Any:
        """Return the value of a text. Raises KerfproofError with what is wrong."""
        raise NotImplementedError

    def written(self, value: Any) -> str:
        """Return a value as it is shown."""
        raise NotImplementedError

    def put(self, value: Any) -> bool:
        """Show a value and return True, or leave a person who is typing alone."""
        self.value = value
        if self.edit.hasFocus() and self.edit.isModified():
            return False
        self.edit.setText(self.written(value))
        self.edit.setModified(False)
        self.complain("")
        return True

    def commit(self) -> None:
        """Take what is typed."""
        if not self.edit.isModified():
            return
        try:
            value = self.read(self.edit.text().strip())
        except KerfproofError as error:
            self.complain(sentence_of(error))
            return
        self.edit.setModified(False)
        self.complain("")
        if value != self.value:
            self.changed.emit(value)
        else:
            self.edit.setText(self.written(value))


class QuantityField(TypedField):
    """A number with a unit. Takes any unit of its kind; a bare number has the unit shown. `changed` tells the value.

    `may_be_empty`: empty means "as the chart or the machine says", shown as the grey text in the field.
    """

    def __init__(
        self,
        caption: str,
        kind: Kind = LENGTH,
        *,
        tip: str = "",
        may_be_empty: bool = True,
        least: float | None = None,
        above: float | None = None,
        decimals: tuple[int, int] = (2, 3),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(caption, tip, parent)
        self.kind, self.may_be_empty, self.least, self.above = kind, may_be_empty, least, above
        self.decimals = decimals
        self.inches = False
        self.usual: float | None = None
        self.empty = ""
        """What an empty field shows where nothing usual is known."""
        self.back = QToolButton()
        self.back.setText("↺")
        self.back.setAutoRaise(True)
        self.back.setToolTip(self.tr("Back to what the chart says"))
        self.back.setAccessibleName(self.tr("{caption}: back to what the chart says").format(caption=caption))
        self.back.clicked.connect(self._reset)
        self.back.hide()
        self.line.addWidget(self.back)

    def show_value(self, value: float | None, usual: float | None = None, inches: bool = False) -> None:
        """Show a value, with the usual one for comparison; does not disturb a person who is typing."""
        self.usual, self.inches = usual, inches
        if not self.put(value):
            return
        self.edit.setPlaceholderText(self.empty if usual is None else self.written(usual))
        differs = value is not None and usual is not None and abs(value - usual) > 1e-9
        self.show_hint(self.tr("the chart says {usual}").format(usual=self.written(usual)) if differs and usual else "")
        self.back.setVisible(differs and self.may_be_empty)

    def written(self, value: float | None) -> str:
        """Return a value as it is shown."""
        if value is None:
            return ""
        if self.kind is FEED:
            return format_feed(value, self.inches)
        if self.kind is LENGTH:
            return _trimmed(format_length(value, self.inches, self.decimals[self.inches]))
        return f"{value:g} {self.kind.unit}"

    def read(self, text: str) -> float | None:
        """Return the value of a text. Raises KerfproofError with what is wrong."""
        if not text:
            if self.may_be_empty:
                return None
            raise KerfproofError("a value is needed here")
        bare = self.kind.unit
        if self.inches and self.kind in (LENGTH, FEED):
            bare = "in" if self.kind is LENGTH else "in/min"
        value = parse(text, self.kind, bare)
        if self.above is not None and value <= self.above:
            raise KerfproofError(f"must be more than {self.above:g}")
        if self.least is not None and value < self.least:
            raise KerfproofError(f"must be at least {self.least:g}")
        return value

    def _reset(self) -> None:
        self.edit.setModified(False)
        self.changed.emit(None)


class SizeField(TypedField):
    """Width and height with a unit (``1200x600 mm``), or empty."""

    inches = False

    def show_value(self, value: tuple[float, float] | None, usual: str = "", inches: bool = False) -> None:
        """Show a size; `usual` is the grey text of an empty field."""
        self.inches = inches
        if self.put(value):
            self.edit.setPlaceholderText(usual)

    def written(self, value: tuple[float, float] | None) -> str:
        """Return a size as it is shown."""
        return "" if value is None else format_size(*value, inches=self.inches).replace("x", " × ")

    def read(self, text: str) -> tuple[float, float] | None:
        """Return the size in a text, None for an empty one. Raises KerfproofError with what is wrong."""
        if not text:
            return None
        bare = (" in" if self.inches else " mm") if text[-1].isdigit() or text[-1] == "." else ""
        return parse_size(text.replace("×", "x") + bare)


class ChoiceField(Row):
    """One of several words. `changed` tells the value when a person chooses another."""

    changed = Signal(object)

    def __init__(
        self, caption: str, choices: Sequence[tuple[str, Any]] = (), tip: str = "", parent: QWidget | None = None
    ) -> None:
        self.box = QComboBox()
        self.box.setMinimumContentsLength(8)
        self.box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        super().__init__(caption, self.box, tip, parent)
        self.offer(choices)
        self.box.activated.connect(lambda _index: self.changed.emit(self.box.currentData()))

    def offer(self, choices: Sequence[tuple[str, Any]]) -> None:
        """Offer other choices; the chosen one stays if it is among them."""
        if [(self.box.itemText(k), self.box.itemData(k)) for k in range(self.box.count())] == list(choices):
            return
        now = self.box.currentData()
        self.box.clear()
        for text, value in choices:
            self.box.addItem(text, value)
        self.show_value(now)

    def show_value(self, value: Any) -> None:
        """Show a value; one that is not offered is added."""
        for k in range(self.box.count()):
            if self.box.itemData(k) == value:
                self.box.setCurrentIndex(k)
                return
        if value is not None:
            self.box.addItem(str(value), value)
            self.box.setCurrentIndex(self.box.count() - 1)


def guarded(row: Row, act: Callable[[], None]) -> None:
    """Do something for a field; what it refuses is said at the field."""
    try:
        act()
    except KerfproofError as error:
        row.complain(sentence_of(error))
    else:
        row.complain("")


def sentence_of(error: KerfproofError) -> str:
    """Return what is wrong and what to do, without the place: it stands there."""
    return error.what + (f" ({error.advice})" if error.advice else "")


def _trimmed(text: str) -> str:
    number, _, unit = text.partition(" ")
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {unit}".strip()


__all__ = [
    "ANGLE",
    "CURRENT",
    "FEED",
    "LENGTH",
    "TIME",
    "ChoiceField",
    "QuantityField",
    "Row",
    "SizeField",
    "guarded",
    "sentence_of",
]
