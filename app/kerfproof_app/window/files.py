"""Opening and saving from the window: every question stands in the window, none locks it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from kerfproof.errors import KerfproofError
from kerfproof.job.job import SUFFIX
from kerfproof_app.shop import store
from kerfproof_app.shop.preferences import Unfinished
from kerfproof_app.window.exporting import Exporting
from kerfproof_app.work.opening import kind_of
from kerfproof_resources import drawing_bytes

if TYPE_CHECKING:
    from kerfproof_app.window.main_window import MainWindow


class Files(Exporting):
    """What the window does with files."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
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
            self.session.say(error.phrase())
            return
        self.open([path])

    def unless_unsaved(self, act: Callable[[], None]) -> None:
        """Do something that puts the work away, at once or after the person has said what becomes of changes."""
        if not self.session.unsaved:
            act()
            return
        self.window.question.ask(
            self.tr('The job "{name}" has changes that are not saved.').format(name=self.session.name),
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
                stays=True,
            )

    def _recover(self, work: Unfinished) -> None:
        self.unless_unsaved(partial(self._go_on_with, work))

    def _go_on_with(self, work: Unfinished) -> None:
        try:
            self.session.recover(work)
        except KerfproofError as error:
            self.session.say(error.phrase())

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
            self.session.say(error.phrase())
            return
        self.window.statusBar().showMessage(self.tr("Saved {name}").format(name=saved), 6000)
        if then is not None:
            then()

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
