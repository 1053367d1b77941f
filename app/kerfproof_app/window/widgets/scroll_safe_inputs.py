"""Lists and counts that the wheel changes only once they have the focus; else it scrolls the page they stand on."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QComboBox, QSpinBox, QWidget


class _WheelGuard(QObject):
    """Keeps the wheel from a widget without the focus: Qt gives what is ignored there to the page."""

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stop turns of the wheel."""
        if event.type() is QEvent.Type.Wheel and isinstance(watched, QWidget) and not watched.hasFocus():
            event.ignore()
            return True
        return False


def _guard(widget: QWidget) -> None:
    widget.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    widget.installEventFilter(_WheelGuard(widget))


class ChoiceBox(QComboBox):
    """A list of choices."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        _guard(self)


class CountBox(QSpinBox):
    """A whole number."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        _guard(self)
