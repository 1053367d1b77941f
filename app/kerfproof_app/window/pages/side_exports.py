"""What goes out beside the program: the setup sheet, dry run, frame and tour, and a program that goes on with this."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from kerfproof import api
from kerfproof.errors import KerfproofError, Severity, Watch
from kerfproof.job.job import Mode
from kerfproof.outcome import Outcome
from kerfproof.sentence import say
from kerfproof_app.shop import store
from kerfproof_app.shop.load_shop import shop_for
from kerfproof_app.work.exports import paper_of, picture_bytes, report_bytes, sheet_bytes
from kerfproof_app.work.saving import Export, write_program

if TYPE_CHECKING:
    from kerfproof_app.window.main_window import MainWindow

PICTURES = (".svg", ".png")
PAPERS = {"a4": "A4 (*.pdf)", "letter": "Letter (*.pdf)"}


class SideExports(QObject):
    """Makes what was asked for off the window's thread and writes it only if it is proven."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session, self.aside = window, window.session, window.aside

    # --- the setup sheet --------------------------------------------------------------------------------------

    def sheet(self) -> None:
        """Ask where the setup sheet goes, and on which paper."""
        if not self._ready():
            return
        usual = paper_of(None)
        names = [PAPERS[usual], *(words for paper, words in PAPERS.items() if paper != usual)]
        dialog = self._dialog(self.tr("Setup sheet"), self._stem() + ".pdf")
        dialog.setNameFilters(names)
        dialog.fileSelected.connect(lambda name: self.sheet_to(Path(name), _paper(dialog.selectedNameFilter())))
        dialog.open()

    def sheet_to(self, path: Path, paper: str | None = None) -> None:
        """Write the setup sheet; without `paper` on that which is usual by the locale."""
        outcome, name = self.session.outcome, self._program_name()
        if outcome is None or not self._ready():
            return
        path = path if path.suffix else path.with_suffix(".pdf")
        work = partial(_sheet, outcome, paper, name)
        self.aside.do(work, self._guarded(lambda data: self._write(path, data)), self._failed)

    # --- picture and report -----------------------------------------------------------------------------------

    def picture(self) -> None:
        """Ask where the picture goes, and in which format."""
        if not self._ready():
            return
        dialog = self._dialog(self.tr("Export the picture"), self._stem() + ".svg")
        dialog.setNameFilters([f"SVG (*{ending})" if ending == ".svg" else f"PNG (*{ending})" for ending in PICTURES])
        dialog.fileSelected.connect(lambda name: self.beside_to(Path(name), PICTURES))
        dialog.open()

    def report(self) -> None:
        """Ask where the report goes."""
        if not self._ready():
            return
        dialog = self._dialog(self.tr("Export the report"), self._stem() + ".json")
        dialog.setNameFilters(["JSON (*.json)"])
        dialog.fileSelected.connect(lambda name: self.beside_to(Path(name), (".json",)))
        dialog.open()

    def beside_to(self, path: Path, endings: tuple[str, ...]) -> None:
        """Write picture or report, whichever the ending means; one of another ending gets the first of `endings`."""
        outcome = self.session.outcome
        if outcome is None or not self._ready():
            return
        path = path if path.suffix.lower() in endings else path.with_name(path.name + endings[0])
        dark = self.window.dark

        def make(watch: Watch) -> bytes:
            if path.suffix.lower() in PICTURES:
                return picture_bytes(outcome, path.name, dark)
            return report_bytes(outcome)

        self.aside.do(make, self._guarded(lambda data: self._write(path, data)), self._failed)

    def _write(self, path: Path, data: bytes) -> None:
        store.check_target(path)
        store.write_bytes(path, data)
        self._told(self.tr("Written: {path}.").format(path=path))

    # --- dry run, frame, tour ---------------------------------------------------------------------------------

    def mode(self, mode: Mode) -> None:
        """Ask where a program without the torch goes."""
        if not self._ready() or self.session.outcome is None:
            return
        titles = {
            Mode.DRY: self.tr("Export the dry run"),
            Mode.FRAME: self.tr("Export the frame"),
            Mode.TOUR: self.tr("Export the tour of the pierces"),
        }
        ending = self.session.outcome.machine.extension
        dialog = self._dialog(titles[mode], f"{self._stem()}-{mode.value}{ending}")
        dialog.setOption(QFileDialog.Option.DontConfirmOverwrite, True)  # the old file is kept as a backup
        dialog.fileSelected.connect(lambda name: self.mode_to(Path(name), mode))
        dialog.open()

    def mode_to(self, path: Path, mode: Mode) -> None:
        """Plan the job in another mode, prove it, and write it if it holds."""
        session = self.session
        if session.job is None or session.version is None:
            return
        job, sources = replace(session.job, mode=mode), session.version.sources

        def make(watch: Watch) -> Outcome:
            return api.plan(job, sources, shop_for(job.machine, job.chart), watch=watch)

        self.aside.do(make, self._guarded(lambda made: self._write_mode(path, made)), self._failed)

    def _write_mode(self, path: Path, made: Outcome) -> None:
        errors = [f.problem for f in made.findings if f.severity is Severity.ERROR]
        if made.program is None or errors:
            why = errors[0] if errors else self.tr("there is no program")
            self.window.question.ask(say(self.tr("Not written: {why}."), why=why), weight="error")
            return
        path = path if path.suffix else path.with_name(path.name + made.machine.extension)
        done = write_program(made.program.text, path)
        self._told(self.tr("Proven to hold no torch word. {written}").format(written=self.words_of(done)))

    # --- what they share --------------------------------------------------------------------------------------

    def words_of(self, done: Export) -> str:
        """Return where something was written, and what became of the file before."""
        text = self.tr("Written: {path}.").format(path=done.path)
        if done.backup is not None:
            text += " " + self.tr("The file before is kept as {name}.").format(name=done.backup.name)
        return text

    def _ready(self) -> bool:
        session = self.session
        if not self.window.files.is_all_taken():
            return False
        if session.outcome is not None and session.outcome.program is not None and session.state == "current":
            return True
        session.say(session.why_not() or self.tr("There is no program yet."))
        return False

    def _stem(self) -> str:
        return Path(self._program_name()).stem

    def _program_name(self) -> str:
        return self.window.files.export_name or self.session.name

    def _dialog(self, title: str, name: str) -> QFileDialog:
        dialog = QFileDialog(self.window, title, str(self.window.files.export_folder))
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(name)
        return dialog

    def _guarded(self, act: Callable[[Any], None]) -> Callable[[Any], None]:
        return partial(self._try, act)

    def _try(self, act: Callable[[Any], None], value: Any) -> None:
        try:
            act(value)
        except KerfproofError as error:
            self._failed(error)

    def _failed(self, error: KerfproofError) -> None:
        self.session.say(error.phrase())

    def _told(self, text: str) -> None:
        self.window.tell(text)


def _sheet(outcome: Outcome, paper: str | None, name: str, watch: Watch) -> bytes:
    watch("drawing the sheet", 0.0)
    return sheet_bytes(outcome, paper, name)


def _paper(words: str) -> str:
    return next((paper for paper, name in PAPERS.items() if name == words), paper_of(None))
