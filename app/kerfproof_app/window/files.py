"""Opening, saving and exporting from the window: every question stands in the window, none locks it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from kerfproof.errors import KerfproofError
from kerfproof.job import SUFFIX
from kerfproof_app import store
from kerfproof_app.memory import Unfinished
from kerfproof_app.opening import kind_of
from kerfproof_resources import drawing_bytes

if TYPE_CHECKING:
    from kerfproof_app.window.main_window import MainWindow

PATTERN = "{name}"
"""How programs are called if the person never said: as the drawing."""


class Files(QObject):
    """What the window does with files."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session = window, window.session
        self.closing = False

    # --- opening ------------------------------------------------------------------------------------------

    def ask_open(self, *, add: bool = False) -> None:
        """Show the dialog of the desktop."""
        words = (
            self.tr("Drawings (*.dxf *.DXF)")
            if add
            else self.tr("Drawings, jobs, programs ({all});;All files (*)").format(
                all=f"*.dxf *.DXF *{SUFFIX} *.nc *.ngc *.tap *.cnc *.gcode *.txt"
            )
        )
        dialog = QFileDialog(self.window, self.tr("Choose drawings") if add else self.tr("Open"), self._folder(), words)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFiles)
        dialog.filesSelected.connect(lambda names: self.open([Path(name) for name in names], add=add))
        dialog.open()

    def _folder(self) -> str:
        recent = self.session.memory.recent
        return str(recent[0].parent) if recent else str(Path.home())

    def open(self, paths: Sequence[Path], *, add: bool = False) -> None:
        """Open files, after a question if that would lose changes; a machine's file opens the editor."""
        if len(paths) == 1 and kind_of(paths[0]) == "machine":
            self.window.show_machine(str(paths[0]))
            return
        if self.window.shop_pages.shown:
            self.window.shop_pages.leave()
        if add:
            self.session.open(list(paths), add=True)
        else:
            self.unless_unsaved(lambda: self.session.open(list(paths)))

    def open_demo(self, name: str) -> None:
        """Put a demo drawing into the person's own folder and open it from there."""
        folder = store.config_folder() / "to-try"
        path = folder / f"{name}.dxf"
        try:
            if not path.is_file():
                store.make_folder(folder)
                store.write_bytes(path, drawing_bytes(name))
        except KerfproofError as error:
            self.session.say(str(error))
            return
        self.open([path])

    def unless_unsaved(self, act: Callable[[], None]) -> None:
        """Do something that puts the work away, at once or after the person has said what becomes of changes."""
        if not self.session.unsaved:
            act()
            return
        self.window.question.ask(
            self.tr("The job {name} has changes that are not saved.").format(name=self.session.name),
            [
                (self.tr("Save"), lambda: self.save(then=act)),
                (self.tr("Don't save"), act),
                (self.tr("Stay"), lambda: None),
            ],
            weight="warning",
        )

    def offer_recovery(self) -> None:
        """Offer work that was not closed."""
        for work in reversed(self.session.memory.unfinished()):
            self.window.question.ask(
                self.tr("The program ended before {name} was closed. Its last state was kept.").format(name=work.name),
                [
                    (self.tr("Go on with it"), partial(self._recover, work)),
                    (self.tr("Throw it away"), partial(self.session.memory.forget, work.folder)),
                ],
                weight="warning",
            )

    def _recover(self, work: Unfinished) -> None:
        self.unless_unsaved(partial(self._go_on_with, work))

    def _go_on_with(self, work: Unfinished) -> None:
        try:
            self.session.recover(work)
        except KerfproofError as error:
            self.session.say(str(error))

    # --- saving -------------------------------------------------------------------------------------------

    def save(self, then: Callable[[], None] | None = None) -> None:
        """Save the job to its file; the first time ask where."""
        version = self.session.version
        if version is None or version.program is not None:
            return
        if version.path is None:
            self.save_as(then)
        else:
            self._save(version.path, then)

    def save_as(self, then: Callable[[], None] | None = None) -> None:
        """Ask where to save the job, and save it."""
        version = self.session.version
        if version is None or version.program is not None:
            return
        stem = Path(version.job.drawings[0].name).stem
        start = version.path or (version.folder or Path.home()) / f"{stem}{SUFFIX}"
        dialog = QFileDialog(
            self.window, self.tr("Save the job"), str(start.parent), self.tr("Jobs (*{suffix})").format(suffix=SUFFIX)
        )
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(start.name)
        dialog.fileSelected.connect(lambda name: self._save(Path(name), then))
        dialog.open()

    def _save(self, path: Path, then: Callable[[], None] | None) -> None:
        try:
            saved = self.session.save(path)
        except KerfproofError as error:
            self.session.say(str(error))
            return
        self.window.statusBar().showMessage(self.tr("Saved {name}").format(name=saved), 6000)
        if then is not None:
            then()

    # --- exporting ----------------------------------------------------------------------------------------

    @property
    def export_name(self) -> str:
        """How the program is called: the pattern of the person with the drawing's name, and the machine's ending."""
        session = self.session
        job, outcome = session.job, session.outcome
        if job is None or outcome is None:
            return ""
        pattern = str(session.memory.get("export_pattern", PATTERN))
        stem = session.version.path.name.removesuffix(SUFFIX) if session.version and session.version.path else ""
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
        version = self.session.version
        return version.folder if version is not None and version.folder is not None else Path.home()

    def export(self) -> None:
        """Write the program: at once if it is proven, else after a question in plain words."""
        self._ask_first(self.export_as)

    def _ask_first(self, act: Callable[[], None]) -> None:
        why = self.session.why_not()
        if not why:
            self._ask_about_tip(act)
            return
        if self.session.state != "current" or self.session.outcome is None or self.session.outcome.program is None:
            self.window.question.ask(why, weight="warning")
            return
        self.window.question.ask(
            self.tr("{why} Running it may spoil the part, the torch or you. Write it all the same?").format(why=why),
            [
                (self.tr("Show the findings"), lambda: self.window.show_page("safe")),
                (self.tr("Write it, marked NOT PROVEN"), act),
                (self.tr("No"), lambda: None),
            ],
            weight="error",
        )

    def _ask_about_tip(self, act: Callable[[], None]) -> None:
        """Warn of a job that outruns the tip before it is written."""
        from kerfproof_app.window.tip_line import tip_warning

        warning = tip_warning(self.session)
        if not warning:
            act()
            return
        self.window.question.ask(
            f"{warning[:1].upper()}{warning[1:]}.",
            [(self.tr("Write it"), act), (self.tr("Not now"), lambda: None)],
            weight="warning",
        )

    def export_as(self) -> None:
        """Ask where the program goes, and write it there."""
        if self.session.job is None or self.session.outcome is None:
            return
        folder = self.export_folder
        dialog = QFileDialog(self.window, self.tr("Export the program"), str(folder))
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setOption(QFileDialog.Option.DontConfirmOverwrite, True)  # the old file is kept as a backup
        dialog.selectFile(self.export_name)
        dialog.fileSelected.connect(lambda name: self.export_to(Path(name)))
        dialog.open()

    def export_to(self, path: Path) -> None:
        """Write the program to a path and remember folder and pattern."""
        session = self.session
        if not path.suffix and session.outcome is not None:
            path = path.with_name(path.name + session.outcome.machine.extension)
        try:
            done = session.export(path, anyway=True)
        except KerfproofError as error:
            session.say(str(error))
            return
        self._remember(path)
        text = self.tr("Written: {path}.").format(path=done.path)
        if done.backup is not None:
            text += " " + self.tr("The file before is kept as {name}.").format(name=done.backup.name)
        self.window.question.ask(text)

    def _remember(self, path: Path) -> None:
        job = self.session.job
        if job is None:
            return
        stem = Path(job.drawings[0].name).stem
        pattern = path.stem.replace(stem, "{name}") if stem in path.stem else PATTERN
        self.session.memory.put("export_pattern", pattern)

    # --- the end ------------------------------------------------------------------------------------------

    def asks_before_closing(self) -> bool:
        """Ask about changes before the window closes; True if the window has to stay for the answer."""
        pages = self.window.shop_pages
        if self.closing or not (pages.unsaved or self.session.unsaved):
            return False
        if not pages.unsaved:
            self.unless_unsaved(self._close)
            return True
        self.window.question.ask(
            self.tr("In the editor changes are not saved yet: {names}.").format(names=", ".join(pages.unsaved)),
            [
                (self.tr("Show them"), pages.show_unsaved),
                (self.tr("Close without saving them"), partial(self.unless_unsaved, self._close)),
                (self.tr("Stay"), lambda: None),
            ],
            weight="warning",
        )
        return True

    def _close(self) -> None:
        self.closing = True
        self.window.close()
