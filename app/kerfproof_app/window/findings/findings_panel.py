"""The findings panel: what is wrong as sentences, where it is, and what can be done about it with one press."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QToolButton, QWidget

from kerfproof.errors import Finding, NothingToCut, Severity
from kerfproof.report.picture.flags import letters_of
from kerfproof.sentence import named
from kerfproof_app.window.findings.findings_list import FindingRow, FindingsModel, FindingsView
from kerfproof_app.window.widgets.page_parts import GLOVE, TextLabel, clear, column_layout, push_button, row_layout
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.severity_marks import mark_icon
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:
    from kerfproof_app.window.findings.fix import Fix

UNCOMPARED = ("not-compared", "drawing-missing", "drawing-changed")
"""What a drawing helps against, where a program was opened by itself."""
_MANY = 300
"""Rows beyond which the list is laid out piece by piece."""


class FindingsPanel(Panel):
    """Findings by severity. `field_wanted` asks for a field of the machine, `rule_wanted` for a rule's page.

    `drawing_wanted` asks for a drawing to compare a program with, `place_wanted` for the place of a finding on what is
    drawn, where there is no plan.
    """

    field_wanted = Signal(str)
    rule_wanted = Signal(str)
    drawing_wanted = Signal()
    place_wanted = Signal(object)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setAccessibleName(self.tr("Findings"))
        self.model = FindingsModel(self)
        self.filters = {severity: self._filter_button(severity) for severity in Severity}
        self.search = QLineEdit()
        self.search.setPlaceholderText(self.tr("Filter by words"))
        self.search.setAccessibleName(self.tr("Filter findings by words"))
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._sift)
        self.verdict = TextLabel(look="faint")
        self.view = FindingsView()
        self.view.setModel(self.model)
        self.view.setAccessibleName(self.tr("List of findings"))
        self.view.selectionModel().currentChanged.connect(self._chosen)
        self.view.activated.connect(lambda _index: self.show_chosen())
        self.nothing = TextLabel()
        self.nothing.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.nothing.setContentsMargins(16, 24, 16, 24)
        self.doing = column_layout(margins=(8, 6, 8, 8), spacing=4)
        self._lay()
        self._following = False
        self._outcome: object = None
        self._searched = session.sources
        self._use_unit()
        self.refresh()

    def _lay(self) -> None:
        top = row_layout(*self.filters.values(), (self.search, 1), margins=(8, 6, 8, 2))
        self.verdict.setContentsMargins(8, 0, 8, 4)
        column_layout(
            top, self.verdict, (self.nothing, 1), (self.view, 1), self.doing,
            parent=self, margins=(0, 0, 0, 0), spacing=0,
        )  # fmt: skip

    def _filter_button(self, severity: Severity) -> QToolButton:
        button = QToolButton()
        button.setCheckable(True)
        button.setChecked(True)
        button.setMinimumHeight(GLOVE)
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        button.toggled.connect(self._sift)
        return button

    # --- following --------------------------------------------------------------------------------------------

    def told(self, change: Change) -> None:
        """Follow the session."""
        if change in (Change.OUTCOME, Change.STATE, Change.JOB):
            self.refresh()
        elif change is Change.SELECTION:
            self._follow()
        elif change is Change.PREVIEW:
            self._offer()
        elif change is Change.UNITS:
            self._use_unit()
            self._count()
            self._offer()

    def refresh(self) -> None:
        """Show the findings as the session has them."""
        problem = self.session.problem
        shown = (self.session.outcome, self.session.state, problem, self.session.document)
        if shown == self._outcome:
            return
        self._outcome = shown
        if self.session.sources != self._searched:
            self._searched = self.session.sources
            self.search.clear()  # the words were for what was open before
        flagged = letters_of(self.session.findings)
        rows = [FindingRow(f, number, flagged.get(id(f), "")) for number, f in enumerate(self.session.findings)]
        if self.session.stopped:
            rows = []
        elif self.session.state == "failed" and problem is not None:
            rule = "nothing-to-cut" if isinstance(problem, NothingToCut) else "not-planned"
            rows = [FindingRow(Finding(rule, Severity.ERROR, problem.problem, problem.remedy), None)]
            if isinstance(problem, NothingToCut):
                flagged = letters_of(problem.findings)
                rows += [
                    FindingRow(f, None, flagged.get(id(f), "")) for f in problem.findings if not _is_said(f, problem)
                ]
        self._following = True
        self.model.show_findings(rows)
        self._following = False
        self._count()
        self._follow()
        self._offer()

    def _use_unit(self) -> None:
        self.model.show_inches(self.session.shown_inches)
        self.view.scheduleDelayedItemsLayout()
        self.view.viewport().update()

    def _count(self) -> None:
        tones = tones_of(self)
        names = {
            Severity.ERROR: self.tr("Errors: {0}").format(self.model.count(Severity.ERROR)),
            Severity.WARNING: self.tr("Warnings: {0}").format(self.model.count(Severity.WARNING)),
            Severity.NOTE: self.tr("Notes: {0}").format(self.model.count(Severity.NOTE)),
        }
        for severity, button in self.filters.items():
            button.setIcon(mark_icon(severity, tones))
            button.setText(str(self.model.count(severity)))
            button.setAccessibleName(names[severity])
            button.setToolTip(self.tr("Show or hide. {0}").format(names[severity]))
        self.verdict.say(self._state())
        any_shown = self.model.rowCount() > 0
        self.view.lay_out_in_pieces(self.model.rowCount() > _MANY)
        self.view.setVisible(any_shown)
        self.nothing.setVisible(not any_shown)
        self.nothing.setText("" if any_shown else self._why_empty())

    def _state(self) -> str:
        if self.session.state == "checking" and self.session.findings:
            return self.tr("Checking. These findings are of the state before the last change.")
        if self.session.stopped:
            return self.tr("The check was stopped, so there are no findings of the job as it is.")
        if self.session.state == "failed":
            return self.tr("The job can't be planned like this:")
        return ""

    def _why_empty(self) -> str:
        if self.session.document is None:
            return self.tr("Findings stand here once something is open.")
        if self.session.state == "checking":
            return self.tr("Checking.")
        if self.session.stopped:
            return ""
        if sum(self.model.count(severity) for severity in Severity):
            return self.tr("No finding matches the filter.")
        proof = self.session.outcome.proof if self.session.outcome else None
        said = self.tr("Nothing was found wrong.")
        return f"{said}\n\n{self.tr('The verdict holds')} for {self.session.said(proof.holds_for)}." if proof else said

    def _sift(self) -> None:
        severities = {severity for severity, button in self.filters.items() if button.isChecked()}
        self.model.filter(severities, self.search.text())
        self._count()
        self._offer()

    def _follow(self) -> None:
        row = self.model.row_of(self.session.selection.finding)
        self._following = True
        if row is None:
            self.view.selectionModel().clear()
        else:
            self.view.setCurrentIndex(self.model.index(row))
        self._following = False
        self._offer()

    # --- choosing and mending ---------------------------------------------------------------------------------

    @property
    def chosen(self) -> FindingRow | None:
        """The finding chosen in the list."""
        return self.model.at(self.view.currentIndex())

    def _chosen(self, now: QModelIndex, before: QModelIndex) -> None:
        if not self._following:
            self._offer()

    def show_chosen(self) -> None:
        """Look at the finding chosen: plate view and program go there."""
        row = self.chosen
        if row is not None and row.number is not None:
            self.session.select(finding=row.number)
        elif row is not None and self._has_place(row):
            self.place_wanted.emit(row.finding)

    def fixes(self) -> Sequence[Fix]:
        """Return what can be done about the finding chosen."""
        row = self.chosen
        if row is None:
            return ()
        from kerfproof_app.window.findings.fixes import fixes_for

        return fixes_for(row.finding, self.session.job, self.session.outcome)

    def apply(self, fix: Fix) -> None:
        """Do a fix: one step that can be undone, or a field of the machine to look at."""
        if fix.job is not None:
            self.session.edit(fix.job, fix.change)
        else:
            self.field_wanted.emit(fix.field)

    def _offer(self) -> None:
        clear(self.doing)
        row = self.chosen
        if row is None:
            return
        if self._has_place(row):
            self._add_action(self.tr("Show where"), self.show_chosen)
        if self.session.job is None and row.finding.rule in UNCOMPARED:
            self._add_action(self.tr("Compare it with a drawing ..."), self.drawing_wanted.emit)
        for fix in self.fixes():
            self._add_action(self.session.said(named(fix.label)), lambda _on=False, fix=fix: self.apply(fix))
        self._add_action(self.tr("What does this mean?"), lambda: self.rule_wanted.emit(row.finding.rule), flat=True)

    def _has_place(self, row: FindingRow) -> bool:
        finding, preview = row.finding, self.session.preview
        if row.number is None:
            return preview is not None and preview.place_of(finding) is not None
        return finding.line is not None or finding.x is not None or bool(finding.handle)

    def _add_action(self, words: str, act: Callable[..., object], flat: bool = False) -> None:
        button = push_button(words, act)
        button.setFlat(flat)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.doing.addWidget(button)


def _is_said(finding: Finding, problem: NothingToCut) -> bool:
    """Return whether a refusal says itself what one of its findings says of the whole drawing."""
    return finding.rule == "nothing-to-cut" or (finding.x is None and finding == problem.told_of)
