"""The list of findings: a model of sentences, and how one of them is painted over several lines."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPalette, QResizeEvent
from PySide6.QtWidgets import QFrame, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.sentence import said
from kerfproof_app.window.widgets.severity_marks import paint_mark
from kerfproof_app.window.widgets.tones import tones_of

ModelIndex = QModelIndex | QPersistentModelIndex
ORDER = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}
FINDING = Qt.ItemDataRole.UserRole
NUMBER = Qt.ItemDataRole.UserRole + 1
LETTER = Qt.ItemDataRole.UserRole + 2
WORDS = Qt.ItemDataRole.UserRole + 3
"""What is wrong and what to do, as sentences in the unit shown."""


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding in the list; `number` is its place in the session's findings, None if it is of a refusal.

    `letter` is that of its flag on the plate, empty without one.
    """

    finding: Finding
    number: int | None
    letter: str = ""


class FindingsModel(QAbstractListModel):
    """Findings, worst first, otherwise in the order found; those that match the filter."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._all: list[FindingRow] = []
        self._rows: list[FindingRow] = []
        self._severities = set(Severity)
        self._words: list[str] = []
        self.inches = False

    def show_findings(self, rows: Sequence[FindingRow]) -> None:
        """Show other findings."""
        self._all = sorted(rows, key=lambda row: ORDER[row.finding.severity])
        self._sift()

    def filter(self, severities: set[Severity], text: str) -> None:
        """Show only these severities, and of them those that hold all words of `text`."""
        self._severities, self._words = severities, text.lower().split()
        self._sift()

    def show_inches(self, inches: bool) -> None:
        """Tell lengths in inches or millimetres."""
        if inches != self.inches:
            self.inches = inches
            self.dataChanged.emit(self.index(0), self.index(max(self.rowCount() - 1, 0)))

    def _sift(self) -> None:
        self.beginResetModel()
        self._rows = [row for row in self._all if row.finding.severity in self._severities and self._holds(row)]
        self.endResetModel()

    def _holds(self, row: FindingRow) -> bool:
        text = f"{row.finding.sentence(self.inches)} {row.finding.rule} {row.finding.layer}".lower()
        return all(word in text for word in self._words)

    def count(self, severity: Severity) -> int:
        """Return how many findings of a severity there are, shown or not."""
        return sum(row.finding.severity is severity for row in self._all)

    def row_of(self, number: int | None) -> int | None:
        """Return the row that shows a finding of the session."""
        return next((k for k, row in enumerate(self._rows) if row.number == number and number is not None), None)

    def at(self, index: ModelIndex) -> FindingRow | None:
        """Return what a row shows."""
        return self._rows[index.row()] if index.isValid() and index.row() < len(self._rows) else None

    def rowCount(self, parent: ModelIndex = QModelIndex()) -> int:  # noqa: B008
        """Return how many findings are shown."""
        return 0 if parent.isValid() else len(self._rows)

    def data(self, index: ModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return sentence, words for the screen reader, or the finding itself."""
        row = self.at(index)
        if row is None:
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            flag = f" {row.letter}" if row.letter else ""
            return f"{self.word(row.finding.severity)}{flag}: {row.finding.sentence(self.inches)}"
        if role == FINDING:
            return row.finding
        if role == WORDS:
            return what(row.finding, self.inches), said(advice(row.finding), self.inches)
        if role == NUMBER:
            return row.number
        if role == LETTER:
            return row.letter
        return None

    def word(self, severity: Severity) -> str:
        """Return the word for a severity."""
        return {
            Severity.ERROR: self.tr("Error"), Severity.WARNING: self.tr("Warning"), Severity.NOTE: self.tr("Note"),
        }[severity]  # fmt: skip


class FindingDelegate(QStyledItemDelegate):
    """Paints a finding: its mark, what is wrong, below it what to do, each over as many lines as it takes."""

    SIDE, GAP = 20, 8

    def __init__(self, view: QListView) -> None:
        super().__init__(view)
        self._view = view

    def _text_width(self) -> int:
        return max(self._view.viewport().width() - self.SIDE - 3 * self.GAP, 80)

    def sizeHint(self, option: QStyleOptionViewItem, index: ModelIndex) -> QSize:
        """Return the height that all words take at the width of the list."""
        if not isinstance(index.data(FINDING), Finding):
            return QSize(0, 0)
        wrong, cure = index.data(WORDS)
        height = self._height(wrong) + self.GAP * 2
        if cure:
            height += self._height(cure) + 3
        return QSize(self._view.viewport().width(), max(height, self.SIDE + 2 * self.GAP))

    def _height(self, text: str) -> int:
        box = QRect(0, 0, self._text_width(), 10_000)
        return QFontMetrics(self._view.font()).boundingRect(box, Qt.TextFlag.TextWordWrap, text).height()

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: ModelIndex) -> None:
        """Paint one finding."""
        finding = index.data(FINDING)
        if not isinstance(finding, Finding):
            return
        tones = tones_of(self._view)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        box: QRect = option.rect
        painter.save()
        if chosen:
            painter.fillRect(box, tones.present)
            painter.fillRect(QRect(box.left(), box.top(), 4, box.height()), tones.needle)
        mark = QRectF(box.left() + self.GAP, box.top() + self.GAP, 18, 18)
        paint_mark(painter, mark, finding.severity, tones, index.data(LETTER))
        left = box.left() + self.GAP * 2 + self.SIDE
        words = QRect(left, box.top() + self.GAP, self._text_width(), box.height() - self.GAP)
        wrong, cure = index.data(WORDS)
        painter.setFont(self._view.font())
        painter.setPen(self._view.palette().color(QPalette.ColorRole.Text))
        painter.drawText(words, Qt.TextFlag.TextWordWrap, wrong)
        if cure:
            words.setTop(words.top() + self._height(wrong) + 3)
            painter.setPen(tones["faint"])
            painter.drawText(words, Qt.TextFlag.TextWordWrap, cure)
        painter.setPen(tones["rule"])
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        painter.restore()


def what(finding: Finding, inches: bool = False) -> str:
    """Return what is wrong and where, as a sentence."""
    text = finding.whole().told(inches)
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '!', '?', ')')) else '.'}"


def advice(finding: Finding) -> str:
    """Return what to do, as a sentence."""
    # What the command line would be told has buttons here.
    text = re.sub(r"(?:,? (?:or )?(?:allow|with|if [^:]*:|say)|if [^:]*:) --.*$|\(--\w+\)", "", finding.advice).strip()
    if "--" in text:
        text = "; ".join(clause for clause in re.split(r"[;,] (?:or )?", text) if "--" not in clause)
    if not text:
        return ""
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '!', '?')) else '.'}"


def problem_words(problem: KerfproofError) -> str:
    """Return what stops the work, without what only the command line can do about it."""
    cure = advice(Finding("not-planned", Severity.ERROR, problem.problem, problem.remedy))
    text = f"{problem.where}: {problem.what}" if problem.where else problem.what[:1].upper() + problem.what[1:]
    return f"{text}. {cure}" if cure else f"{text}."


class FindingsView(QListView):
    """A list whose rows take the height that their words need at the present width."""

    def __init__(self) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.delegate = FindingDelegate(self)
        self.setItemDelegate(self.delegate)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMinimumHeight(60)
        self.setBatchSize(100)

    def lay_out_in_pieces(self, many: bool) -> None:
        """Lay many rows out in pieces, so that the window stays awake."""
        modes = QListView.LayoutMode
        self.setLayoutMode(modes.Batched if many else modes.SinglePass)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay the words out anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
