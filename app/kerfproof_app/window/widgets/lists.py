"""Lists and tables to choose from: named things in a column, rows of text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QTableWidget, QTableWidgetItem

KEY = Qt.ItemDataRole.UserRole


class KeyList(QListWidget):
    """Things to choose one of, each with a key. `picked` tells the key of the one chosen by a person or by `choose`."""

    picked = Signal(str)

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.currentItemChanged.connect(self._tell)

    def _tell(self, item: QListWidgetItem | None, _before: object) -> None:
        if item is not None:
            self.picked.emit(item.data(KEY))

    def add(self, key: str, words: str, tip: str = "") -> None:
        """Add a thing at the end."""
        item = QListWidgetItem(words)
        item.setData(KEY, key)
        item.setToolTip(tip)
        self.addItem(item)

    @property
    def key(self) -> str:
        """The key of the thing chosen, empty for none."""
        item = self.currentItem()
        return "" if item is None else str(item.data(KEY))

    def choose(self, key: str) -> None:
        """Choose a thing by its key; one that is not there changes nothing."""
        for row in range(self.count()):
            if self.item(row).data(KEY) == key:
                self.setCurrentRow(row)

    def mark(self, key: str) -> None:
        """Show a thing as the one chosen without telling."""
        with QSignalBlocker(self):
            self.choose(key)


class RowsTable(QTableWidget):
    """Rows of text that are read and chosen, not written."""

    def __init__(self, columns: int, name: str) -> None:
        super().__init__(0, columns)
        self.setAccessibleName(name)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)

    def show_rows(self, rows: Sequence[Iterable[str]], numbers: int = 0) -> None:
        """Show other rows; so many columns from the left hold numbers."""
        self.setRowCount(len(rows))
        for number, row in enumerate(rows):
            for column, text in enumerate(row):
                item = QTableWidgetItem(text)
                if column < numbers:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.setItem(number, column, item)
