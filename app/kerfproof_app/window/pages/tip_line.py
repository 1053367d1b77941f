"""How much of the tip is used, and what the program shown takes of it: two lines and two buttons."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtWidgets import QGridLayout, QWidget

from kerfproof import api
from kerfproof.errors import KerfproofError
from kerfproof.job.job import Mode
from kerfproof.report.data.wear import Wear
from kerfproof_app.shop.tip_usage import Tip, TipLife, outruns
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, push_button
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.words import plural
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change


class TipLine(Panel):
    """The tip of the machine shown. Only programs that the person says were cut are counted."""

    follows = (Change.OUTCOME, Change.STATE, Change.TIP)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.used = TextLabel()
        self.takes = TextLabel(look="faint")
        self.said = TextLabel(look="said")
        self.cut = push_button(
            self.tr("This program was cut"),
            self.count,
            self.tr("Counts its starts on the tip; press it once for each time it ran to its end"),
        )
        self.new = push_button(
            self.tr("New tip"), self.fit_new, self.tr("Begin to count anew: tip and electrode were changed")
        )
        buttons = QGridLayout()
        buttons.addWidget(self.cut, 0, 0)
        buttons.addWidget(self.new, 0, 1)
        column_layout(self.used, self.takes, self.said, buttons, parent=self, margins=(0, 4, 0, 0), spacing=3)
        self.refresh()

    def refresh(self) -> None:
        """Show the tip and what the program takes."""
        session = self.session
        took = taken(session)
        self.cut.setEnabled(took is not None and took.starts > 0 and session.state == "current")
        self.new.setEnabled(session.outcome is not None)
        life, tip = _tip(session)
        self.said.say("; ".join(life.told))
        self.used.setText(self._words(tip))
        if took is None or not took.starts:
            self.takes.setText("")
            return
        starts = plural(took.starts, self.tr("1 start"), self.tr("{n} starts"))
        text = self.tr("This program takes {starts} and {time} s of arc.").format(starts=starts, time=round(took.arc_s))
        warning = tip_warning(session)
        self.takes.setText(f"{text} {warning[:1].upper()}{warning[1:]}." if warning else text)

    def _words(self, tip: Tip | None) -> str:
        if tip is None:
            return self.tr("Tip: nothing is counted yet.")
        used = self.tr("Tip: {used} used, {starts} since {day}.").format(
            used=f"{tip.used:.0%}",
            starts=plural(tip.starts, self.tr("1 start"), self.tr("{n} starts")),
            day=tip.fitted[:10],
        )
        return used if tip.counted else used + " " + self.tr("Some cuts had no tip life in their chart.")

    def count(self) -> None:
        """Count the program shown as cut."""
        session, took = self.session, taken(self.session)
        outcome = session.outcome
        if outcome is None or outcome.program is None or took is None:
            return
        digest = api.digest(outcome.program.text.encode("ascii", errors="replace"))
        life = TipLife.of_person()
        with session.saying_why_not():
            _tip_now, times = life.count(
                outcome.machine.name, now(), session.name, digest, took.starts, took.arc_s,
                outcome.process.starts_per_tip,
            )  # fmt: skip
            told = [*life.told]
            if times > 1:
                told.append(self.tr("this program is now counted {n} times on this tip").format(n=times))
            session.say("; ".join(told))
            session.tell(Change.TIP)

    def fit_new(self) -> None:
        """Begin a new tip."""
        outcome = self.session.outcome
        if outcome is None:
            return
        life = TipLife.of_person()
        with self.session.saying_why_not():
            life.fit_new(outcome.machine.name, now())
            self.session.say("; ".join(life.told))
            self.session.tell(Change.TIP)


def taken(session: Session) -> Wear | None:
    """Return what the program shown takes of the tip, None without one that cuts."""
    outcome, line = session.outcome, session.timeline
    if outcome is None or outcome.proof is None or line is None or outcome.job.mode is not Mode.CUT:
        return None
    runs = outcome.proof.runs
    arc_s = float((line.end - line.begin)[line.torch].sum())  # what `wear` reckons, from times that are there already
    return Wear(len(runs), round(arc_s, 3), round(sum(run.length for run in runs), 3))


def tip_warning(session: Session) -> str:
    """Return why the tip will not last for the program shown, empty if it will or nobody knows."""
    took, outcome = taken(session), session.outcome
    if took is None or outcome is None:
        return ""
    told = outruns(_tip(session)[1], took.starts, outcome.process.starts_per_tip)
    return told.partition(" (then: ")[0]  # here a button does it


def _tip(session: Session) -> tuple[TipLife, Tip | None]:
    life = TipLife.of_person()
    if session.outcome is None:
        return life, None
    try:
        return life, life.tip(session.outcome.machine.name)
    except KerfproofError as error:  # a count that can't be read is no reason to fail
        life.told.append(str(error))
        return life, None


def now() -> str:
    """Return the time as it is kept."""
    return datetime.now().astimezone().isoformat(timespec="seconds")
