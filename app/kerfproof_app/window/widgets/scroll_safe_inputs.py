"""Lists and counts that the wheel changes only once they have the focus; else it scrolls the page they stand on."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QSpinBox, QWidget


class ChoiceBox(QComboBox):
    """A list of choices."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Choose by the wheel if the focus is here."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class CountBox(QSpinBox):
    """A whole number."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Count by the wheel if the focus is here."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()
