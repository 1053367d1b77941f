"""A file that is no TOML any more: its text, opened at the line where it breaks."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QFontDatabase, QTextCursor
from PySide6.QtWidgets import QPlainTextEdit, QTextEdit, QWidget

from kerfproof_app.window.shop.shop_document import ShopDocument
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout
from kerfproof_app.window.widgets.tones import tones_of


class BrokenText(QWidget):
    """The text with the sentence on what breaks it; every key typed is tried."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.said = TextLabel(look="said")
        self.text = QPlainTextEdit()
        self.text.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.text.setAccessibleName(self.tr("Text of the file"))
        self.text.textChanged.connect(self._typed)
        column_layout(self.said, (self.text, 1), parent=self)
        self._document: ShopDocument | None = None

    def show_document(self, document: ShopDocument) -> None:
        """Show a document; a new one opens at its broken line."""
        new = document is not self._document
        self._document = document
        if self.text.toPlainText() != document.text:
            with QSignalBlocker(self.text):
                self.text.setPlainText(document.text)
        error = document.broken
        sentence = "" if error is None else f"{error.what}{f' ({error.advice})' if error.advice else ''}"
        self.said.setText(f"{sentence[:1].upper()}{sentence[1:]}")
        self._mark(document.broken_line, jump=new)

    def _mark(self, line: int | None, jump: bool) -> None:
        marks = []
        block = self.text.document().findBlockByNumber((line or self.text.blockCount()) - 1)
        if block.isValid():
            mark = QTextEdit.ExtraSelection()
            mark.cursor = QTextCursor(block)
            mark.cursor.select(QTextCursor.SelectionType.LineUnderCursor)
            mark.format.setBackground(tones_of(self).present)
            marks.append(mark)
            if jump:
                self.text.setTextCursor(QTextCursor(block))
                self.text.centerCursor()
        self.text.setExtraSelections(marks)

    def _typed(self) -> None:
        if self._document is not None and not self._document.read_only:
            self._document.set_text(self.text.toPlainText())
