"""What stands in place of the settings while a program is open by itself: what it says and comes to."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QWidget

from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, heading, left, push_button
from kerfproof_app.work.session import Session


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
