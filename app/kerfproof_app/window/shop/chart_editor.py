"""The editor of cut charts: the rows as a table, and every key of the chosen row as a form below it."""

from __future__ import annotations

import re
from datetime import date

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QLineEdit, QSplitter, QTableWidgetItem, QWidget

from kerfproof.errors import KerfproofError, Severity
from kerfproof.shop.chart_file import ChartFile, Row, parse_chart
from kerfproof.units import parse_length
from kerfproof_app.shop.save_measurements import estimated_row
from kerfproof_app.window.shop.field_form import FieldForm
from kerfproof_app.window.shop.key_field import KeyField
from kerfproof_app.window.shop.shop_document import CHARTS, ShopDocument
from kerfproof_app.window.shop.shop_editor import ShopEditor
from kerfproof_app.window.widgets.lists import RowsTable
from kerfproof_app.window.widgets.page_parts import (
    column_layout,
    heading,
    page_of,
    push_button,
    row_layout,
    scrolled,
)
from kerfproof_app.window.widgets.severity_marks import mark_icon
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.work.session import Session

COLUMNS = ("material", "thickness", "current", "feed", "kerf", "cut_height", "pierce_delay", "pierce", "min_hole")


class ChartEditor(ShopEditor):
    """Cut charts of the shop: built-in ones to read and copy, own ones to change."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, CHARTS, parent)
        self.setAccessibleName(self.tr("Cut charts"))
        self.begin(self._build())

    def _build(self) -> QSplitter:
        self.table = RowsTable(len(COLUMNS), self.tr("Rows of the chart"))
        self.table.setHorizontalHeaderLabels([name.replace("_", " ") for name in COLUMNS])
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.verticalHeader().setDefaultSectionSize(self.fontMetrics().lineSpacing() + 8)
        self.table.verticalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.currentCellChanged.connect(lambda row, *_rest: self._to_row(row))
        self.add = push_button(self.tr("Copy this row"), self.add_row)
        self.remove = push_button(self.tr("Take this row out"), self.remove_row)
        self.thickness = QLineEdit()
        self.thickness.setPlaceholderText(self.tr("thickness, 3.5 mm"))
        self.thickness.setAccessibleName(self.tr("Thickness of the estimated row"))
        self.thickness.returnPressed.connect(self.estimate_row)
        tip = self.tr("Adds a row with the material and current of this one, worked out between the measured ones")
        self.estimate = push_button(self.tr("Estimate a row"), self.estimate_row, tip)
        buttons = row_layout(self.add, self.remove, 1, self.thickness, self.estimate)
        self.row_name = heading("", (0, 12, 0, 2), times=1.25)
        self.row_form = FieldForm(Row, ("row", 0))
        about = heading(self.tr("The whole chart"), (0, 12, 0, 2), times=1.25)
        self.chart_form = FieldForm(ChartFile)
        forms = column_layout(self.row_name, self.row_form, about, self.chart_form, 1, margins=(4, 0, 16, 16))
        self._scroll = scrolled(page_of(forms), takes_focus=True)
        both = QSplitter(Qt.Orientation.Vertical)
        both.addWidget(page_of(column_layout((self.table, 1), buttons, margins=(0, 0, 0, 0))))
        both.addWidget(self._scroll)
        both.setChildrenCollapsible(False)
        both.setSizes([260, 320])
        return both

    # --- showing ----------------------------------------------------------------------------------------------

    def fields(self) -> list[KeyField]:
        """Return the fields of the row shown and those of the chart."""
        return [*self.row_form.fields, *self.chart_form.fields]

    def show_form(self, document: ShopDocument) -> None:
        """Show rows, values and mistakes."""
        self._fill(document)
        if self.row_form.document is not document:
            with QSignalBlocker(self.table):
                self.table.setCurrentCell(self._row_of_job(document), 0)
        row = max(self.table.currentRow(), 0)
        if self.row_form.document is not document or self.row_form.fields[0].keys[1] != row:
            self.row_form.document = document
            self.row_form.move_to_row(("row", row))
        else:
            self.row_form.show_document(document)
        self.chart_form.show_document(document)
        self.row_form.setVisible(self.table.rowCount() > 0)
        self._name_row(document, row)
        own = not document.read_only
        self.add.setEnabled(own)
        self.remove.setEnabled(own and self.table.rowCount() > 1)
        for widget in (self.thickness, self.estimate):
            widget.setEnabled(own and self.table.rowCount() > 0)
        self._share_out(document, row)

    def _row_of_job(self, document: ShopDocument) -> int:
        """Return the row of a chart that the job cuts with, or the one nearest to it; the first of another chart."""
        outcome = self.session.outcome
        if outcome is None or document.file.name != self.used_by_job() or not document.good:
            return 0
        used, rows = outcome.process, parse_chart(document.text, document.file.where).rows
        apart = [
            (r.material != used.material, abs(r.thickness - used.thickness), abs(r.amps - used.amps)) for r in rows
        ]
        return apart.index(min(apart)) if apart else 0

    def _name_row(self, document: ShopDocument, row: int) -> None:
        values = document.rows()
        if row < len(values):
            words = (values[row].get(key, "?") for key in ("material", "thickness", "current"))
            self.row_name.setText(self.tr("Row {0}: {1}").format(row + 1, ", ".join(map(str, words))))
        else:
            self.row_name.setText(self.tr("The chart has no rows yet"))

    def _fill(self, document: ShopDocument) -> None:
        values, tones = document.rows(), tones_of(self)
        wrong = {int(m[1]) - 1 for m in (re.match(r"row (\d+)", path) for path in document.mistakes) if m}
        with QSignalBlocker(self.table):
            self.table.show_rows([[str(row.get(key, "")) for key in COLUMNS] for row in values])
            for number in range(len(values)):
                head = QTableWidgetItem(str(number + 1))
                if number in wrong:
                    head.setIcon(mark_icon(Severity.ERROR, tones))
                    head.setToolTip(self.tr("This row has a mistake"))
                self.table.setVerticalHeaderItem(number, head)

    def _share_out(self, document: ShopDocument, row: int) -> None:
        """Put each sentence beside its field; those of other rows and of none stand above."""
        by_key = dict(document.mistakes)
        for field in self.row_form.fields:
            field.show_mistake(by_key.pop(f"row {row + 1}.{field.keys[-1]}", ""))
        for field in self.chart_form.fields:
            field.show_mistake(by_key.pop(str(field.keys[-1]), ""))
        loose = [f"{path}: {sentence}" for path, sentence in by_key.items()]
        self.said.say("\n".join([*loose[:4], self.tr("and more")] if len(loose) > 5 else loose))

    def _to_row(self, row: int) -> None:
        if self.document is not None and row >= 0:
            self.show_form(self.document)
            self._scroll.verticalScrollBar().setValue(0)

    def show_field(self, key: str) -> None:
        """Bring a field to sight and put the cursor into it."""
        match = re.match(r"row (\d+)(?:\.(\w+))?", key)
        if match:
            self.table.setCurrentCell(int(match[1]) - 1, 0)
        name = match[2] if match else key
        field = next((f for f in self.fields() if f.keys[-1] == name), None)
        if field is not None:
            self._scroll.ensureWidgetVisible(field, 0, 60)
            field.editor.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- rows -------------------------------------------------------------------------------------------------

    def add_row(self) -> None:
        """Put a copy of the row shown behind it, to change it there."""
        if self.document is not None and not self.document.read_only:
            like = self.table.currentRow()
            at = self.document.add_row(like if like >= 0 else None)
            self.table.setCurrentCell(at, 0)

    def estimate_row(self) -> None:
        """Add a row for the thickness written, worked out from the measured ones and marked so."""
        document, like = self.document, self.table.currentRow()
        if document is None or document.read_only or like < 0:
            return
        try:
            thickness = parse_length(self.thickness.text())
            values = estimated_row(document.text, document.file.where, like, thickness, date.today().isoformat())
        except KerfproofError as error:
            self.said.say(
                f"{self.session.said(error.problem)}{': ' if error.remedy else ''}{self.session.said(error.remedy)}"
            )
            self.thickness.setFocus()
            return
        self.thickness.clear()
        self.table.setCurrentCell(document.insert_row(like + 1, values), 0)

    def remove_row(self) -> None:
        """Take the row shown out."""
        if self.document is not None and not self.document.read_only and self.table.currentRow() >= 0:
            self.document.remove_row(self.table.currentRow())
