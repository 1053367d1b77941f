"""The program panel: the text with its findings, following the scrubber, and leading it."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QStackedLayout, QWidget

from kerfproof.errors import Severity
from kerfproof_app.window.program.program_text import ProgramText
from kerfproof_app.window.widgets.glyphs import glyph
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, row_layout, tool_button
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change


class ProgramView(Panel):
    """The text of the program; a click on a line moves the scrubber to it. Works only while it is seen."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setAccessibleName(self.tr("Program"))
        self.text = ProgramText()
        self.text.show_inches(session.shown_inches)
        self.text.line_chosen.connect(self.go_to_line)
        self.state = TextLabel()
        self.state.setAccessibleName(self.tr("Which program this is"))
        self.before = tool_button("", lambda: self.go_to_finding(-1), self.tr("Previous finding in the program"))
        self.after = tool_button("", lambda: self.go_to_finding(+1), self.tr("Next finding in the program"))
        head = row_layout((self.state, 1), self.before, self.after, margins=(8, 4, 6, 4))
        self._nothing = TextLabel(self.tr("The program stands here once a drawing is open."))
        self._nothing.setContentsMargins(12, 12, 12, 12)
        self._pages = QStackedLayout()
        column_layout(head, (self._pages, 1), parent=self, margins=(0, 0, 0, 0), spacing=0)
        self._pages.addWidget(self._nothing)  # in its place first, or it would be a window for a moment
        self._pages.addWidget(self.text)
        self._shown: object = None
        self._dress()
        self.refresh()

    def _dress(self) -> None:
        self.before.setIcon(glyph("up", tones_of(self)))
        self.after.setIcon(glyph("down", tones_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow another theme."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "after"):
            self._dress()

    def told(self, change: Change) -> None:
        """Follow the session."""
        if change in (Change.OUTCOME, Change.STATE, Change.JOB):
            self.refresh()
        elif change is Change.MOMENT:
            self._follow()
        elif change is Change.SELECTION:
            self._look()
        elif change is Change.UNITS:
            self.text.show_inches(self.session.shown_inches)

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what happened unseen."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Show the program as the session has it."""
        outcome = self.session.outcome
        program = None if outcome is None else outcome.program
        self._pages.setCurrentWidget(self._nothing if program is None else self.text)
        self.state.setText(self._words(program is not None))
        lines = self._lines_with_findings()
        for button in (self.before, self.after):
            button.setEnabled(bool(lines))
        if outcome is None or program is None or not self.isVisible():
            return
        if self._shown is not outcome:
            self._shown = outcome
            self.text.show_program(program.text, outcome.machine)
            self.text.show_findings(self.session.findings)
        self._follow()

    def _words(self, there: bool) -> str:
        if not there:
            return self.tr("No program")
        if self.session.state == "checking":
            return self.tr("Checking: this is the program before the last change")
        if self.session.stopped:
            return self.tr("Check stopped: this is the program before the last change")
        if self.session.state == "failed":
            return self.tr("The program before the change that can't be planned")
        found = len(self._lines_with_findings())
        if found == 1:
            return self.tr("Findings at one line")
        return self.tr("Findings at {0} lines").format(found) if found else self.tr("No finding names a line")

    def _lines_with_findings(self) -> list[int]:
        return sorted({f.line for f in self.session.findings if f.line is not None})

    def _follow(self) -> None:
        moment = self.session.moment
        if self.isVisible():
            self.text.show_line(None if moment is None else moment.line)

    def _look(self) -> None:
        chosen = self.session.selection
        line = chosen.line
        if line is None and chosen.finding is not None and chosen.finding < len(self.session.findings):
            line = self.session.findings[chosen.finding].line
        if line is not None:
            self.go_to_line(line)

    def go_to_line(self, line: int) -> None:
        """Move the scrubber to the moment at which a line acts."""
        timeline = self.session.timeline
        when = None if timeline is None else timeline.moment_of_line(line)
        if when is not None:
            self.session.go_to(when)

    def go_to_finding(self, way: int) -> None:
        """Go to the next line with a finding (`way` 1) or the one before (-1), round the ends."""
        lines = self._lines_with_findings()
        if not lines:
            return
        here = self.text.present_line or 0
        if way > 0:
            line = next((n for n in lines if n > here), lines[0])
        else:
            line = next((n for n in reversed(lines) if n < here), lines[-1])
        numbers = [k for k, f in enumerate(self.session.findings) if f.line == line]
        worst = min(numbers, key=lambda k: list(Severity).index(self.session.findings[k].severity))
        self.session.select(finding=worst)
        self.text.show_line(line)
