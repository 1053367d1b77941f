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

from kerfproof.errors import Finding, Severity
from kerfproof.shop.profile import Machine
from kerfproof_app.window.program.margin import Margin
from kerfproof_app.window.program.word_kinds import ROLES, WordReader
from kerfproof_app.window.widgets.tones import BOLD, tones_of

SEPARATORS = dict.fromkeys((0x2028, 0x2029, 0xFDD0, 0xFDD1), "\N{REPLACEMENT CHARACTER}")
"""Characters that part lines or paragraphs here and nowhere else."""
_WEIGHT = {Severity.NOTE: 0, Severity.WARNING: 1, Severity.ERROR: 2}


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
        self._present: int | None = None
        self._found: dict[int, list[Finding]] = {}
        self._inches = False
        self._formats: dict[str, QTextCharFormat] = {}
        self._margin = Margin(self, self)
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
        self._found = {}
        for finding in findings:
            if finding.line is not None:
                self._found.setdefault(finding.line, []).append(finding)
        self._margin.update()

    def show_inches(self, inches: bool) -> None:
        """Tell lengths of findings in inches or millimetres."""
        self._inches = inches

    def show_line(self, line: int | None) -> None:
        """Mark the present line (from 1) and keep it in sight."""
        if line == self._present:
            return
        self._present = line
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
        return self._present

    def findings_at(self, line: int) -> tuple[Finding, ...]:
        """Return the findings in the margin of a line, the worst first."""
        return tuple(sorted(self._found.get(line, ()), key=lambda f: -_WEIGHT[f.severity]))

    def told_at(self, line: int) -> str:
        """Return the sentences of the findings at a line, the worst first."""
        return "\n".join(f.sentence(self._inches) for f in self.findings_at(line))

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
            present, self._present = self._present, None
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

    def margin_width(self) -> int:
        """Return how wide the margin is: numbers, a mark and the pointer of the present line."""
        digits = max(len(str(self.blockCount())), 3)
        return self.fontMetrics().horizontalAdvance("9") * digits + 2 * self.mark_side() + 14

    def mark_side(self) -> int:
        """Return the side of a mark."""
        return max(int(self.fontMetrics().lineSpacing() * 0.92), 8)

    def _make_room(self) -> None:
        self.setViewportMargins(self.margin_width(), 0, 0, 0)
        self._lay_margin()

    def _lay_margin(self) -> None:
        inside = self.contentsRect()
        self._margin.setGeometry(QRect(inside.left(), inside.top(), self.margin_width(), inside.height()))

    def _scroll_margin(self, rect: QRect, dy: int) -> None:
        if dy:
            self._margin.scroll(0, dy)
        else:
            self._margin.update(0, rect.y(), self._margin.width(), rect.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the margin at the side."""
        super().resizeEvent(event)
        self._lay_margin()

    def line_at(self, y: int) -> int | None:
        """Return the line (from 1) at a height of the viewport, None below the last."""
        for line, top, height in self.lines_in_sight():
            if top <= y < top + height:
                return line
        return None

    def lines_in_sight(self) -> list[tuple[int, float, float]]:
        """Return number, top and height of each line in sight."""
        found = []
        block = self.firstVisibleBlock()
        top = self.blockBoundingGeometry(block).translated(self.contentOffset()).top()
        while block.isValid() and top <= self.viewport().height():
            height = self.blockBoundingRect(block).height()
            found.append((block.blockNumber() + 1, top, height))
            top += height
            block = block.next()
        return found
