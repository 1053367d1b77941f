"""What goes out beside the program: the setup sheet, dry run, frame and tour, and a program that goes on with this."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from kerfproof import api
from kerfproof.errors import KerfproofError, Severity, Watch
from kerfproof.job.job import Mode
from kerfproof.outcome import Outcome
from kerfproof.sentence import say
from kerfproof_app.shop import store
from kerfproof_app.shop.load_shop import shop_for
from kerfproof_app.window.files.program_export import ProgramExport, written_words
from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.file_dialogs import ask_where
from kerfproof_app.window.widgets.shell import Shell
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work.exports import paper_of, picture_of, report_bytes, sheet_bytes
from kerfproof_app.work.saving import write_program

PICTURES = (".svg", ".png")
PAPERS = {"a4": "A4 (*.pdf)", "letter": "Letter (*.pdf)"}


class SideExports:
    """Makes what was asked for off the window's thread and writes it only if it is proven."""

    def __init__(self, shell: Shell, program: ProgramExport, background: BackgroundWork) -> None:
        self.shell, self.session, self.program, self.background = shell, shell.session, program, background

    # --- the setup sheet --------------------------------------------------------------------------------------

    def sheet(self) -> None:
        """Ask where the setup sheet goes, and on which paper."""
        if not self._ready():
            return
        usual = paper_of(None)
        names = [PAPERS[usual], *(words for paper, words in PAPERS.items() if paper != usual)]
        self._ask(tr("Setup sheet"), ".pdf", lambda path, words: self.sheet_to(path, _paper(words)), names)

    def sheet_to(self, path: Path, paper: str | None = None) -> None:
        """Write the setup sheet; without `paper` on that which is usual by the locale."""
        outcome, name = self.session.outcome, self._program_name()
        if outcome is None or not self._ready():
            return
        path = path if path.suffix else path.with_suffix(".pdf")
        work = partial(_sheet, outcome, paper, name)
        self.background.do(work, lambda data: self._write(path, data), self._failed)

    # --- picture and report -----------------------------------------------------------------------------------

    def picture(self) -> None:
        """Ask where the picture goes, and in which format."""
        if not self._ready():
            return
        kinds = [f"{ending[1:].upper()} (*{ending})" for ending in PICTURES]
        self._ask(tr("Export the picture"), ".svg", lambda path, _kind: self.beside_to(path, PICTURES), kinds)

    def report(self) -> None:
        """Ask where the report goes."""
        if not self._ready():
            return
        self._ask(
            tr("Export the report"), ".json", lambda path, _kind: self.beside_to(path, (".json",)), ["JSON (*.json)"]
        )

    def beside_to(self, path: Path, endings: tuple[str, ...]) -> None:
        """Write picture or report, whichever the ending means; one of another ending gets the first of `endings`."""
        outcome = self.session.outcome
        if outcome is None or not self._ready():
            return
        path = path if path.suffix.lower() in endings else path.with_name(path.name + endings[0])
        dark = self.shell.dark

        def make(watch: Watch) -> bytes:
            if path.suffix.lower() in PICTURES:
                return picture_of(outcome, path.name, dark)
            return report_bytes(outcome)

        self.background.do(make, lambda data: self._write(path, data), self._failed)

    def _write(self, path: Path, data: bytes) -> None:
        with self.session.saying_why_not():
            store.write_bytes(path, data)
            self.shell.tell(tr("Written: {path}.").format(path=path))

    # --- dry run, frame, tour ---------------------------------------------------------------------------------

    def mode(self, mode: Mode) -> None:
        """Ask where a program without the torch goes."""
        if not self._ready() or self.session.outcome is None:
            return
        titles = {
            Mode.DRY: tr("Export the dry run"),
            Mode.FRAME: tr("Export the frame"),
            Mode.TOUR: tr("Export the tour of the pierces"),
        }
        ending = self.session.outcome.machine.extension
        # the old file is kept as a backup
        self._ask(titles[mode], f"-{mode.value}{ending}", lambda path, _kind: self.mode_to(path, mode), confirms=False)

    def mode_to(self, path: Path, mode: Mode) -> None:
        """Plan the job in another mode, prove it, and write it if it holds."""
        session = self.session
        if session.job is None:
            return
        job, sources = replace(session.job, mode=mode), session.sources

        def make(watch: Watch) -> Outcome:
            return api.plan(job, sources, shop_for(job.machine, job.chart), watch=watch)

        self.background.do(make, lambda made: self._write_mode(path, made), self._failed)

    def _write_mode(self, path: Path, made: Outcome) -> None:
        errors = [f.problem for f in made.findings if f.severity is Severity.ERROR]
        if made.program is None or errors:
            why = errors[0] if errors else tr("there is no program")
            self.shell.question.ask(say(tr("Not written: {why}."), why=why), weight="error")
            return
        with self.session.saying_why_not():
            done = write_program(made.program.text, path, made.machine.extension)
            self.shell.tell(tr("Proven to hold no torch word. {written}").format(written=written_words(done)))

    # --- what they share --------------------------------------------------------------------------------------

    def _ready(self) -> bool:
        session = self.session
        if not self.program.is_all_taken():
            return False
        if session.outcome is not None and session.outcome.program is not None and session.state == "current":
            return True
        session.say(session.why_not() or tr("There is no program yet."))
        return False

    def _program_name(self) -> str:
        return self.program.export_name or self.session.name

    def _ask(
        self,
        title: str,
        ending: str,
        then: Callable[[Path, str], None],
        filters: Sequence[str] = (),
        *,
        confirms: bool = True,
    ) -> None:
        start = self.program.export_folder / (Path(self._program_name()).stem + ending)
        ask_where(self.shell.widget, title, start, then, filters=filters, confirms=confirms)

    def _failed(self, error: KerfproofError) -> None:
        self.session.say(error.phrase())


def _sheet(outcome: Outcome, paper: str | None, name: str, watch: Watch) -> bytes:
    watch("drawing the sheet", 0.0)
    return sheet_bytes(outcome, paper, name)


def _paper(words: str) -> str:
    return next((paper for paper, name in PAPERS.items() if name == words), paper_of(None))
