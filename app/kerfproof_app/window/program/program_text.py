"""The text of a program: words coloured by what they do, findings in the margin, the present line marked.

Only lines on the screen are coloured, so programs of several hundred thousand lines open in well under a second.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import (
    QFontDatabase,
    QKeyEvent,
    QMouseEvent,
    QPaintEvent,
    QResizeEvent,
    QTextBlock,
    QTextCharFormat,
    QTextCursor,
    QTextFormat,
    QTextLayout,
)
from PySide6.QtWidgets import QFrame, QPlainTextEdit, QTextEdit, QWidget

from kerfproof.errors import Finding
from kerfproof.shop.profile import Machine
from kerfproof_app.window.program.margin import Margin
from kerfproof_app.window.program.word_kinds import ROLES, WordReader
from kerfproof_app.window.widgets.tones import BOLD, tones_of

SEPARATORS = dict.fromkeys((0x2028, 0x2029, 0xFDD0, 0xFDD1), "\N{REPLACEMENT CHARACTER}")
"""Characters that part lines or paragraphs here and nowhere else."""


def _shown(text: str) -> str:
    """Return a program so that its lines are counted here as a control counts them."""
    from kerfproof.api import lines_of  # loads the planner, which a program has needed anyway

    last = "\n" if text.endswith(("\n", "\r")) else ""
    return ("\n".join(lines_of(text)) + last).translate(SEPARATORS)


class ProgramText(QPlainTextEdit):
    """Read-only program text. `line_chosen` tells the number (from 1) of a line clicked or moved to by key."""

    line_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setReadOnly(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.setUndoRedoEnabled(False)
        letters = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
        letters.setPointSizeF(max(self.font().pointSizeF(), 8.0))
        self.setFont(letters)
        self.setAccessibleName(self.tr("Program text"))
        self._reader = WordReader()
        self._round = 1
        self._formats: dict[str, QTextCharFormat] = {}
        self._margin = Margin(self)
        self._margin.chosen.connect(self.line_chosen)
        self.blockCountChanged.connect(self._make_room)
        self.updateRequest.connect(self._scroll_margin)
        self._dress()
        self._make_room()

    # --- what is shown ----------------------------------------------------------------------------------------

    def show_program(self, text: str, machine: Machine | None = None) -> None:
        """Show another text; the place in it stays where it can."""
        self._reader = WordReader(machine)
        text = _shown(text)
        if text != self.toPlainText():
            bar = self.verticalScrollBar()
            place = bar.value()
            self.setPlainText(text)
            bar.setValue(place)
        self._forget_colours()
        self.show_line(None)

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Show the findings that name a line in the margin."""
        self._margin.show_findings(findings)

    def show_inches(self, inches: bool) -> None:
        """Tell lengths of findings in inches or millimetres."""
        self._margin.inches = inches

    def show_line(self, line: int | None) -> None:
        """Mark the present line (from 1) and keep it in sight."""
        if line == self._margin.present:
            return
        self._margin.present = line
        marked = []
        block = self._block(line)
        if block is not None:
            mark = QTextEdit.ExtraSelection()
            mark.cursor = QTextCursor(block)
            mark.format.setBackground(tones_of(self).present)
            mark.format.setProperty(QTextFormat.Property.FullWidthSelection, True)
            marked.append(mark)
            self._keep_in_sight(block)
        self.setExtraSelections(marked)
        self._margin.update()

    @property
    def present_line(self) -> int | None:
        """The line marked as the present one."""
        return self._margin.present

    def _block(self, line: int | None) -> QTextBlock | None:
        block = self.document().findBlockByNumber(line - 1) if line else None
        return block if block is not None and block.isValid() else None

    def _keep_in_sight(self, block: QTextBlock) -> None:
        bar, number = self.verticalScrollBar(), block.blockNumber()
        rows = max(self.viewport().height() // max(self.fontMetrics().lineSpacing(), 1), 3)
        if not bar.value() + 1 <= number <= bar.value() + rows - 3:
            bar.setValue(max(number - rows // 3, 0))

    # --- colours ----------------------------------------------------------------------------------------------

    def _dress(self) -> None:
        tones = tones_of(self)
        self._formats = {}
        for role in ROLES:
            style = QTextCharFormat()
            style.setForeground(tones.word(role))
            if role in BOLD:
                style.setFontWeight(700)
            if role == "comment":
                style.setFontItalic(True)
            self._formats[role] = style
        self._forget_colours()

    def _forget_colours(self) -> None:
        self._round += 1
        self.viewport().update()

    def _colour(self, block: QTextBlock) -> None:
        ranges = []
        for word in self._reader.words(block.text()):
            part = QTextLayout.FormatRange()
            part.start, part.length = word.start, word.end - word.start
            part.format = self._formats[word.role]
            ranges.append(part)
        block.layout().setFormats(ranges)
        block.setUserState(self._round)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Colour the lines that are about to be seen for the first time, then paint."""
        block = self.firstVisibleBlock()
        bottom = self.viewport().height()
        top = self.blockBoundingGeometry(block).translated(self.contentOffset()).top()
        while block.isValid() and top <= bottom:
            if block.userState() != self._round:
                self._colour(block)
            top += self.blockBoundingRect(block).height()
            block = block.next()
        super().paintEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Follow another theme or font."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.ApplicationPaletteChange) and self._formats:
            present, self._margin.present = self._margin.present, None
            self._dress()
            self.show_line(present)
        if event.type() is QEvent.Type.FontChange and hasattr(self, "_margin"):
            self._make_room()

    # --- choosing a line --------------------------------------------------------------------------------------

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Choose the line under a plain click; a drag selects text."""
        super().mouseReleaseEvent(event)
        if event.button() is Qt.MouseButton.LeftButton and not self.textCursor().hasSelection():
            self._choose(self.cursorForPosition(event.position().toPoint()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose the line that the cursor was moved to."""
        before = self.textCursor().blockNumber()
        super().keyPressEvent(event)
        if self.textCursor().blockNumber() != before and not self.textCursor().hasSelection():
            self._choose(self.textCursor())

    def _choose(self, cursor: QTextCursor) -> None:
        if self.document().characterCount() > 1:
            self.line_chosen.emit(cursor.blockNumber() + 1)

    # --- the margin -------------------------------------------------------------------------------------------

    def _make_room(self) -> None:
        self.setViewportMargins(self._margin.wide(), 0, 0, 0)
        self._lay_margin()

    def _lay_margin(self) -> None:
        inside = self.contentsRect()
        self._margin.setGeometry(QRect(inside.left(), inside.top(), self._margin.wide(), inside.height()))

    def _scroll_margin(self, rect: QRect, dy: int) -> None:
        if dy:
            self._margin.scroll(0, dy)
        else:
            self._margin.update(0, rect.y(), self._margin.width(), rect.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the margin at the side."""
        super().resizeEvent(event)
        self._lay_margin()
