"""The list of cuts in their order, to be dragged into another."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QDropEvent, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QWidget

FEATURE = Qt.ItemDataRole.UserRole


class CutList(QListWidget):
    """Cuts that can be dragged. `moved` tells the features in their new order."""

    moved = Signal(list)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.setDefaultDropAction(Qt.DropAction.MoveAction)
        self.setAlternatingRowColors(True)
        self.setUniformItemSizes(True)
        self.setAccessibleName(self.tr("Cuts in their order"))

    def features(self) -> list[int]:
        """Return the features in the order of the list."""
        return [int(self.item(k).data(FEATURE)) for k in range(self.count())]

    def dropEvent(self, event: QDropEvent) -> None:
        """Tell the new order after a drop; the list itself changes once the order is taken."""
        if event.source() not in (self, None):
            event.ignore()
            return
        event.setDropAction(Qt.DropAction.IgnoreAction)  # or the view would remove what was dragged from the new list
        event.accept()
        rows = sorted(index.row() for index in self.selectedIndexes())
        self._move(rows, self._gap_at(event.position().toPoint()))

    def _gap_at(self, place: QPoint) -> int:
        """Return before which row something dropped at a place is meant to go."""
        index = self.indexAt(place)
        if not index.isValid():
            return self.count()
        return index.row() + (place.y() > self.visualRect(index).center().y())

    def _move(self, rows: list[int], gap: int) -> None:
        before = self.features()
        kept = [feature for row, feature in enumerate(before) if row not in rows]
        at = gap - sum(row < gap for row in rows)
        after = [*kept[:at], *(before[row] for row in rows), *kept[at:]]
        if after != before:
            self.moved.emit(after)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the present cut with Alt and the arrow keys."""
        if event.modifiers() & Qt.KeyboardModifier.AltModifier and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.shift(-1 if event.key() == Qt.Key.Key_Up else 1)
            event.accept()
            return
        super().keyPressEvent(event)

    def shift(self, step: int) -> None:
        """Move the present cut up or down by a place."""
        row = self.currentRow()
        to = row + step
        if row < 0 or not 0 <= to < self.count():
            return
        self._move([row], to + (step > 0))
