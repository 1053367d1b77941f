"""The page of pierces: where the program lights the torch, what is left to the drill, and a tour of all of them."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHeaderView, QWidget

from kerfproof.programs.read_header import read_claims
from kerfproof.report.data.wear import pierces
from kerfproof.sentence import named
from kerfproof_app.window.widgets.lists import RowsTable
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, push_button, row_layout
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

INCH = 25.4


class PiercePage(Panel):
    """A table with a line for each place. `tour_wanted` asks for the program that visits them."""

    follows = (Change.OUTCOME, Change.UNITS)

    tour_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setAccessibleName(self.tr("Pierces and holes to drill"))
        words = TextLabel(
            self.tr(
                "Places in the program's coordinates, to grind the plate bright or to punch marks. The tour goes to"
                " each of them raised, with the torch off, and stops there."
            ),
            look="faint",
        )
        self.table = RowsTable(5, self.tr("Pierces and holes to drill"))
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setSectionResizeMode(4, QHeaderView.ResizeMode.Stretch)
        self.table.itemSelectionChanged.connect(self._go)
        self.copy = push_button(self.tr("Copy the list"), lambda: QGuiApplication.clipboard().setText(self.text()))
        self.tour = push_button(self.tr("Export the tour ..."), self.tour_wanted)
        buttons = row_layout(self.tour, self.copy, 1)
        column_layout(words, (self.table, 1), buttons, parent=self, margins=(18, 8, 18, 14))
        self.lines: list[tuple[str, ...]] = []
        self._light: list[int | None] = []
        self.refresh()

    def refresh(self) -> None:
        """List the places of the program shown."""
        outcome = self.session.outcome
        self.lines, self._light = [], []
        unit = "in" if self.session.shown_inches else "mm"
        heads = [self.tr("number"), f"X {unit}", f"Y {unit}", self.tr("line"), self.tr("what")]
        self.tour.setEnabled(self.session.job is not None and outcome is not None and outcome.program is not None)
        if outcome is not None and outcome.program is not None and outcome.proof is not None:
            text = outcome.program.text
            for p in pierces(outcome.proof, text):
                what = self.session.said(named(p.label))
                self.lines.append((str(p.number), self._written(p.x), self._written(p.y), str(p.line), what))
                self._light.append(p.line)
            claims = read_claims(text)
            for name, (x, y) in zip(claims.left_names, claims.left_out, strict=True):
                what = self.tr("to drill: {name}").format(name=self.session.said(named(name)))
                self.lines.append((self.tr("drill"), self._written(x), self._written(y), "", what))
                self._light.append(None)
        with QSignalBlocker(self.table):
            self.table.setHorizontalHeaderLabels(heads)
            self.table.show_rows(self.lines, numbers=4)

    def _written(self, mm: float) -> str:
        return f"{mm / INCH:.4f}" if self.session.shown_inches else f"{mm:.3f}"

    def text(self) -> str:
        """Return the list as text, with tabulators between the columns."""
        heads = [self.table.horizontalHeaderItem(k) for k in range(5)]
        first = "\t".join(head.text() if head is not None else "" for head in heads)
        return "\n".join([first, *("\t".join(line) for line in self.lines)]) + "\n"

    def _go(self) -> None:
        """Move the scrubber to the pierce chosen."""
        row, line = self.table.currentRow(), self.session.timeline
        light = self._light[row] if 0 <= row < len(self._light) else None
        moment = line.moment_of_line(light) if line is not None and light is not None else None
        if moment is not None:
            self.session.go_to(moment)
