"""Pages of the job's settings: fields show the job and change it; a program by itself has facts in their place."""

from __future__ import annotations

from typing import Any, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from kerfproof.job.job import Job
from kerfproof_app.window.widgets.fields import SettingField
from kerfproof_app.window.widgets.page_parts import (
    TextLabel,
    column_layout,
    heading,
    left,
    page_of,
    push_button,
    scrolled,
)
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.work.session import Session

_Field = TypeVar("_Field", bound=SettingField)


class ProgramFacts(QFrame):
    """Facts of a program without a job. `drawing_wanted` asks for a drawing to compare it with."""

    drawing_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = TextLabel()
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.compare = push_button(self.tr("Compare it with a drawing ..."), self.drawing_wanted)
        hint = TextLabel(
            self.tr("Its cuts are as its text says. To change them, open the drawing and write it again."), look="faint"
        )
        title = heading(self.tr("A program opened by itself"))
        column_layout(title, self.words, left(self.compare), hint, 1, parent=self, margins=(14, 4, 14, 14))

    def show_for(self, session: Session) -> bool:
        """Show the facts if a program is open by itself, and return whether one is."""
        alone = session.job is None and session.document is not None
        self.setVisible(alone)
        proved = getattr(session.outcome, "proved", None) if alone else None
        if proved is not None:
            from kerfproof.report.data.program_lines import program_lines

            lines = [f"{key}: {session.said(text)}" for key, text in program_lines(proved)]
            if proved.compared:
                lines.insert(0, self.tr("compared with: {names}").format(names=proved.against))
            self.words.setText("\n".join(lines))
        else:
            self.words.clear()
        return alone


class SettingsPage(Panel):
    """Fields that scroll; a program opened by itself has none, and `alone` says in their place what it is."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self._bound: list[tuple[SettingField, str, str]] = []
        rows = column_layout(margins=(14, 4, 14, 14), spacing=4)
        self.build(rows)
        rows.addStretch(1)
        self.fields, self.alone = scrolled(page_of(rows)), ProgramFacts()
        column_layout(self.fields, self.alone, parent=self, margins=(0, 0, 0, 0))
        self.refresh()

    def build(self, rows: QVBoxLayout) -> None:
        """Put the fields into a column."""
        raise NotImplementedError

    def show_job(self, job: Job, inches: bool) -> None:
        """Show what the job says."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Show what the job says, and what chart and machine say instead."""
        job = self.session.job
        self.fields.setVisible(not self.alone.show_for(self.session))
        self.fields.setEnabled(job is not None)
        if job is not None:
            self.show_job(job, self.session.shown_inches)

    def bind(self, rows: QVBoxLayout, key: str, label: str, field: _Field) -> _Field:
        """Put a field that changes a key of the job into a column, and return it.

        `label` says in a few words what was done.
        """
        rows.addWidget(field)
        field.changed.connect(lambda value: self.session.change(label, **{key: value}))
        self._bound.append((field, key, ""))
        return field

    def show_bound(self, job: Job, usual: Any, inches: bool) -> None:
        """Show the keys of the job in their fields; `usual` has what holds without them."""
        for field, key, usual_key in self._bound:
            field.show_value(getattr(job, key), getattr(usual, usual_key, None), inches)
