"""Fields of the side panels that are no single quantity: a count, a text that something reads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QSpinBox, QWidget

from kerfproof.errors import KerfproofError
from kerfproof_app.window.fields import Row, sentence_of


class CountField(Row):
    """A whole number. `changed` tells it."""

    changed = Signal(int)

    def __init__(
        self, caption: str, most: int, *, none: str = "", tip: str = "", parent: QWidget | None = None
    ) -> None:
        self.spin = QSpinBox()
        self.spin.setRange(0, most)
        self.spin.setKeyboardTracking(False)
        self.spin.setMinimumHeight(QLineEdit().sizeHint().height())
        if none:
            self.spin.setSpecialValueText(none)
        super().__init__(caption, self.spin, tip, parent)
        self.spin.valueChanged.connect(self.changed)

    def show_value(self, value: int) -> None:
        """Show a number."""
        self.spin.blockSignals(True)
        self.spin.setValue(value)
        self.spin.blockSignals(False)


class TextField(Row):
    """A text that is read into a value. `changed` tells the value; what can't be read says why and stays.

    `read` raises KerfproofError; `written` returns the text of a value.
    """

    changed = Signal(object)

    def __init__(
        self,
        caption: str,
        read: Callable[[str], Any],
        written: Callable[[Any], str] = str,
        *,
        tip: str = "",
        usual: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self.edit = QLineEdit()
        self.edit.setPlaceholderText(usual)
        super().__init__(caption, self.edit, tip, parent)
        self.read, self.written = read, written
        self.value: Any = None
        self.edit.editingFinished.connect(self.commit)

    def show_value(self, value: Any) -> None:
        """Show a value; does not disturb a person who is typing."""
        self.value = value
        if self.edit.hasFocus() and self.edit.isModified():
            return
        self.edit.setText(self.written(value))
        self.edit.setModified(False)
        self.complain("")

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
