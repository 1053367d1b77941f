"""Exporting from the window: only what was proven, or what the person was asked about, is written."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from kerfproof.job.job import SUFFIX
from kerfproof.sentence import Phrase, joined_phrases, say
from kerfproof_app.window.widgets.file_dialogs import ask_where
from kerfproof_app.window.widgets.shell import Shell
from kerfproof_app.window.widgets.typed_fields import take_typed, wrong_field
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work.documents import JobDocument
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome
    from kerfproof_app.work.saving import Export

PATTERN = "{name}"
"""How programs are called if the person never said: as the drawing."""


class ProgramExport:
    """Asks what there is to ask, where the program goes, and writes it. `side` has the fields that are typed into."""

    def __init__(self, shell: Shell, side: QWidget) -> None:
        self.shell, self.session, self._side = shell, shell.session, side
        self._agreed: Outcome | None = None
        """What is proven, or was asked about and is wanted all the same."""
        self._waits: tuple[int, Phrase, Callable[[], None]] | None = None
        """What is to be done once the work of this number is checked, and the sentence that says so."""
        self.session.listen(self._told)

    @property
    def export_name(self) -> str:
        """How the program is called: the pattern of the person with the drawing's name, and the machine's ending."""
        session = self.session
        job, outcome = session.job, session.outcome
        if job is None or outcome is None:
            return ""
        pattern = str(session.memory.get("export_pattern", PATTERN))
        document = session.document
        stem = document.path.name.removesuffix(SUFFIX) if isinstance(document, JobDocument) and document.path else ""
        name = pattern.replace("{name}", stem or Path(job.drawings[0].name).stem)
        return name.replace("{material}", job.material).replace("{thickness}", f"{job.thickness:g}mm") + (
            outcome.machine.extension
        )

    @property
    def export_folder(self) -> Path:
        """Where programs go: where the last went, at first beside the drawing."""
        kept = self.session.memory.get("export_folder", "")
        if kept and Path(kept).is_dir():
            return Path(kept)
        document = self.session.document
        return document.folder if document is not None and document.folder is not None else Path.home()

    def export(self) -> None:
        """Ask where the program goes and write it there: at once if it is proven, else after a plain question."""
        self._agreed = None
        self._judge(self._ask_where)

    def is_all_taken(self) -> bool:
        """Take what is typed into the job; False and a sentence if a field can't be read or a unit is asked for."""
        if self.session.question is not None:
            self.session.say(tr("First say in which unit the drawing is, or don't open it."))
            return False
        wrong = take_typed(self._side)
        if wrong is None:
            return True
        text = tr("{field}: {why}. Mend it, or press Escape in the field.").format(
            field=wrong.caption.text(), why=wrong.said.text().rstrip(".")
        )
        self.shell.question.ask(text, weight="warning", over=lambda: wrong_field(self._side) is None)
        wrong.edit.setFocus()
        return False

    def _judge(self, act: Callable[[], None]) -> None:
        """Do something with the program as it is now, once it is checked and what is to be asked about it was."""
        session = self.session
        if not self.is_all_taken():
            return
        why, outcome = session.why_not(), session.outcome
        if session.state == "checking":
            self._wait(why, act)
        elif session.state != "current" or outcome is None or outcome.program is None:
            session.say(why)
        elif outcome is self._agreed:
            act()
        elif why:
            risk = tr("Running it may spoil the part, the torch or you. Write it all the same?")
            self.shell.tell(
                joined_phrases((why, risk), " "),
                [
                    (tr("Show the findings"), lambda: self.shell.show_page("safe")),
                    (tr("Write it, marked NOT PROVEN"), partial(self._agree, act)),
                    (tr("No"), lambda: None),
                ],
                weight="error",
            )
        else:
            self._ask_about_tip(partial(self._agree, act))

    def _agree(self, act: Callable[[], None]) -> None:
        self._agreed = self.session.outcome
        act()

    def _ask_about_tip(self, act: Callable[[], None]) -> None:
        """Warn of a job that outruns the tip before it is written."""
        from kerfproof_app.window.pages.tip_line import tip_warning

        warning = tip_warning(self.session)
        if not warning:
            act()
            return
        self.shell.tell(
            f"{warning[:1].upper()}{warning[1:]}.",
            [(tr("Write it"), act), (tr("Not now"), lambda: None)],
            weight="warning",
        )

    def _wait(self, why: Phrase, act: Callable[[], None]) -> None:
        session, number = self.session, self.session.number
        text = say(tr("{why} It is exported as soon as that is done."), why=why)
        self._waits = (number, text, act)
        self.shell.question.ask(
            text,
            [(tr("Don't export it"), lambda: None)],
            weight="warning",
            over=lambda: session.number != number or self._waits is None,
        )

    def _told(self, change: Change) -> None:
        if change is Change.STATE and self._waits is not None:
            self._take_up(*self._waits)

    def _take_up(self, number: int, text: Phrase, act: Callable[[], None]) -> None:
        session = self.session
        if session.number == number and session.state == "checking":
            return
        wanted = session.number == number and session.state == "current" and self.shell.question.holds(text)
        self._waits = None
        self.shell.question.drop_over()
        if wanted:
            self._judge(act)

    def _ask_where(self) -> None:
        start = self.export_folder / self.export_name
        # the old file is kept as a backup
        ask_where(
            self.shell.widget, tr("Export the program"), start, lambda path, _kind: self.export_to(path), confirms=False
        )

    def export_to(self, path: Path) -> None:
        """Write the program to a path and remember folder and pattern; what changed meanwhile is judged again."""
        self._judge(partial(self._write, path))

    def _write(self, path: Path) -> None:
        session = self.session
        with session.saying_why_not():
            done = session.export(path, anyway=session.outcome is self._agreed)
            self._remember(path)
            self.shell.tell(written_words(done))

    def _remember(self, path: Path) -> None:
        job = self.session.job
        if job is None:
            return
        stem = Path(job.drawings[0].name).stem
        pattern = path.stem.replace(stem, "{name}") if stem in path.stem else PATTERN
        self.session.memory.put("export_pattern", pattern)


def written_words(done: Export) -> str:
    """Return where something was written, and what became of the file before."""
    text = tr("Written: {path}.").format(path=done.path)
    if done.backup is not None:
        text += " " + tr("The file before is kept as {name}.").format(name=done.backup.name)
    return text
