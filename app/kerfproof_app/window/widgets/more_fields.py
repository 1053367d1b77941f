"""Fields of the side panels that are no single quantity: a count, a text that something reads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from kerfproof_app.window.widgets.fields import Row, TypedField
from kerfproof_app.window.widgets.scroll_safe_inputs import CountBox


class CountField(Row):
    """A whole number. `changed` tells it."""

    changed = Signal(int)

    def __init__(
        self, caption: str, most: int, *, none: str = "", tip: str = "", parent: QWidget | None = None
    ) -> None:
        self.spin = CountBox()
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


class TextField(TypedField):
    """A text that is read into a value: `read` raises KerfproofError, `written` returns the text of a value."""

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
        super().__init__(caption, tip, parent)
        self.edit.setPlaceholderText(usual)
        self._read, self._written = read, written

    def read(self, text: str) -> Any:
        """Return the value of a text. Raises KerfproofError with what is wrong."""
        return self._read(text)

    def written(self, value: Any) -> str:
        """Return a value as it is shown."""
        return self._written(value)

    def show_value(self, value: Any) -> None:
        """Show a value; does not disturb a person who is typing."""
        self.put(value)
