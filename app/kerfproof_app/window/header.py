"""The three questions on top: is it the part I drew, what will the torch do, is it safe to run; and the export."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QPushButton, QSizePolicy, QWidget

from kerfproof.errors import Severity
from kerfproof.units import format_length, format_time
from kerfproof_app.window.widgets.page_parts import push_button, row_layout
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.window.widgets.words import plural, tr
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

PAGES = ("part", "torch", "safe")


class Card(QPushButton):
    """One question with its answer in a few words, and a band in the colour of the answer."""

    def __init__(self, question: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setCheckable(True)
        self.question, self.answer, self.tone = question, "", ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumHeight(52)
        self.setAccessibleName(question)

    def say(self, answer: str, tone: str = "", tip: str = "") -> None:
        """Give the answer; `tone` is a role of the colour table or empty."""
        self.answer, self.tone = answer, tone
        self.setAccessibleDescription(answer)
        self.setToolTip(tip or answer)
        self.update()

    def sizeHint(self) -> QSize:
        """Return a size with room for the question."""
        return QSize(QFontMetrics(self.font()).horizontalAdvance(self.question) + 40, 52)

    def minimumSizeHint(self) -> QSize:
        """Return the least size."""
        return QSize(150, 52)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint question and answer in two lines."""
        super().paintEvent(event)
        painter = QPainter(self)
        tones = tones_of(self)
        left = 12
        if self.tone:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(tones[self.tone]))
            painter.drawRoundedRect(8, 10, 6, self.height() - 20, 3, 3)
            left = 22
        wide = self.width() - left - 10
        small = QFont(self.font())
        small.setPointSizeF(self.font().pointSizeF() * 0.92)
        painter.setFont(small)
        painter.setPen(tones["faint"])
        metrics = painter.fontMetrics()
        mode = Qt.TextElideMode.ElideRight
        painter.drawText(left, 21, metrics.elidedText(self.question, mode, wide))
        bold = QFont(self.font())
        bold.setBold(True)
        painter.setFont(bold)
        painter.setPen(tones["ink"])
        painter.drawText(left, 41, painter.fontMetrics().elidedText(self.answer, mode, wide))
        painter.end()


class Header(Panel):
    """The cards and the export button. `chosen` tells which page is wanted."""

    follows = (Change.JOB, Change.OUTCOME, Change.STATE, Change.UNITS, Change.QUESTION)

    chosen = Signal(str)
    export_wanted = Signal()
    stop_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        questions = (
            self.tr("Is it the part I drew?"),
            self.tr("What will the torch do?"),
            self.tr("Is it safe to run?"),
        )
        self.cards = {page: Card(question) for page, question in zip(PAGES, questions, strict=True)}
        group = QButtonGroup(self)
        group.setExclusive(True)
        for page, card in self.cards.items():
            group.addButton(card)
            card.clicked.connect(lambda _checked=False, page=page: self.chosen.emit(page))
        self.stop = push_button(self.tr("Stop"), self.stop_wanted, self.tr("Stop the work that is going on"))
        self.stop.setVisible(False)
        self.export = push_button(self.tr("Export program"), self.export_wanted, look="export", height=52)
        cards = [(card, 1) for card in self.cards.values()]
        row_layout(*cards, self.stop, self.export, parent=self, margins=(8, 8, 8, 8), spacing=8)
        self.progress = ""
        self.refresh()

    def show_progress(self, stage: str, share: float) -> None:
        """Tell how far the work is."""
        self.progress = f"{tr(stage)} {share * 100:.0f} %" if stage else ""
        self.refresh()

    def choose(self, page: str) -> None:
        """Show a page as the chosen one."""
        self.cards[page].setChecked(True)

    def refresh(self) -> None:
        """Answer the three questions from what is known."""
        session = self.session
        busy = session.opening is not None or session.state == "checking"
        self.stop.setVisible(busy)
        asked = session.question is not None
        self.export.setEnabled(
            session.outcome is not None
            and session.outcome.program is not None
            and session.job is not None
            and not asked
        )
        if session.question is not None:
            waits = self.tr("waits for your answer")
            for page, said in (("part", session.question.where), ("torch", ""), ("safe", waits)):
                self.cards[page].say(said, "warning" if said else "")
            return
        self.cards["part"].say(*self._part())
        self.cards["torch"].say(*self._torch())
        self.cards["safe"].say(*self._safe())

    def _part(self) -> tuple[str, str]:
        session, inches = self.session, self.session.shown_inches
        if session.document is None:
            return self.tr("nothing open"), ""
        outcome, alone = session.outcome, (self.tr("a program by itself, no drawing to compare"), "warning")
        if outcome is None:
            return alone if session.job is None else (session.name, "")
        from kerfproof_app.work.program_outcome import ProgramOutcome

        if session.job is None and not (isinstance(outcome, ProgramOutcome) and outcome.proved.compared):
            return alone
        if isinstance(outcome, ProgramOutcome):
            inner = [part.holes for part in outcome.proved.whole.parts]
        else:
            inner = [len(part.holes) for part in outcome.parts.parts]
        if not inner:
            return session.name, ""
        count, holes = len(inner), sum(inner)
        words = [plural(count, self.tr("1 part"), self.tr("{n} parts"))]
        words.append(plural(holes, self.tr("1 hole"), self.tr("{n} holes")))
        whole = outcome.proved.whole if isinstance(outcome, ProgramOutcome) else outcome.proof
        proof = whole if session.state == "current" else None
        if proof is None:
            return ", ".join(words), ""
        stuck = sum(not part.comes_free for part in proof.parts)
        missing = sum(part.holes - part.holes_cut for part in proof.parts)
        if stuck:
            words.append(plural(stuck, self.tr("1 does not come free"), self.tr("{n} do not come free")))
        if missing:
            words.append(plural(missing, self.tr("1 hole is not cut"), self.tr("{n} holes are not cut")))
        if not stuck and not missing and proof.edges is not None:
            off = format_length(proof.edge_deviation, inches, 4 + inches)
            words.append(self.tr("edge within {off}").format(off=off))
        found = outcome.findings if isinstance(outcome, ProgramOutcome) else proof.findings
        bad = stuck or missing or any(f.severity is Severity.ERROR for f in found)
        return ", ".join(words), "error" if bad else "good"

    def _torch(self) -> tuple[str, str]:
        session = self.session
        timeline = session.timeline
        if timeline is None or session.outcome is None:
            return ("", "") if session.document is None else (self.tr("no program yet"), "")
        count = len(session.outcome.proof.runs) if session.outcome.proof else 0
        if not count and not timeline.torch.any():
            lasts = format_time(round(timeline.seconds))
            return self.tr("the torch stays off, {time} of motion").format(time=lasts), ""
        lit = float((timeline.end - timeline.begin)[timeline.torch].sum())
        words = [
            plural(count, self.tr("1 pierce"), self.tr("{n} pierces")),
            format_time(round(timeline.seconds)),
            self.tr("arc on {time}").format(time=format_time(round(lit))),
        ]
        if count:
            idle = (timeline.seconds - lit) / count
            words.append(self.tr("idle {seconds} s a start").format(seconds=f"{idle:.1f}"))
        if session.state != "current":
            return self.tr("before the last change: {words}").format(words=", ".join(words)), ""
        return ", ".join(words), "hot"

    def _safe(self) -> tuple[str, str]:
        session = self.session
        if session.opening is not None:
            return self.tr("opening") + (f": {self.progress}" if self.progress else ""), "warning"
        if session.state == "empty":
            return "", ""
        if session.state == "checking":
            return self.tr("checking") + (f": {self.progress}" if self.progress else ""), "warning"
        if session.stopped:
            return self.tr("not checked: it was stopped"), "warning"
        if session.state == "failed":
            return session.said(session.problem.problem) if session.problem else self.tr("can't be planned"), "error"
        from kerfproof.api import BY_RULES

        errors = sum(f.severity is Severity.ERROR for f in session.findings)
        warnings = sum(f.severity is Severity.WARNING for f in session.findings)
        verdict = session.verdict
        if verdict == "NOT PROVEN":
            return self.tr("not proven") + ": " + plural(errors, self.tr("1 error"), self.tr("{n} errors")), "error"
        told = self.tr("proven by rules alone") if verdict.endswith(BY_RULES) else self.tr("proven")
        if warnings:
            return f"{told}, " + plural(warnings, self.tr("1 warning"), self.tr("{n} warnings")), "warning"
        notes = len(session.findings)
        return told + (", " + plural(notes, self.tr("1 note"), self.tr("{n} notes")) if notes else ""), "good"
