"""Opening and saving from the window: every question stands in the window, none locks it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from kerfproof.job.job import SUFFIX
from kerfproof_app.shop import store
from kerfproof_app.shop.preferences import Unfinished
from kerfproof_app.window.shop_pages import ShopPages
from kerfproof_app.window.widgets.file_dialogs import ask_where, ask_which
from kerfproof_app.window.widgets.shell import Shell
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work.documents import JobDocument
from kerfproof_app.work.opening import kind_of
from kerfproof_resources import drawing_bytes


class JobFiles:
    """Opens and saves, and asks about changes before they would be lost."""

    def __init__(self, shell: Shell, shop_pages: ShopPages) -> None:
        self.shell, self.session, self.shop_pages = shell, shell.session, shop_pages
        self.closing = False

    # --- opening ------------------------------------------------------------------------------------------

    def ask_open(self) -> None:
        """Let the person choose files."""
        words = tr("Drawings, jobs, programs ({all});;All files (*)").format(
            all=f"*.dxf *.DXF *{SUFFIX} *.nc *.ngc *.tap *.cnc *.gcode *.txt"
        )
        ask_which(self.shell.widget, tr("Open"), self._folder(), words, self.open)

    def ask_add(self) -> None:
        """Let the person choose drawings to add, or to compare a program with."""
        words = tr("Drawings (*.dxf *.DXF)")
        ask_which(self.shell.widget, tr("Choose drawings"), self._folder(), words, partial(self.open, add=True))

    def _folder(self) -> Path:
        recent = self.session.memory.recent
        return recent[0].parent if recent else Path.home()

    def open(self, paths: Sequence[Path], *, add: bool = False) -> None:
        """Open files, after a question if that would lose changes; a machine's file opens the editor."""
        if len(paths) == 1 and kind_of(paths[0]) == "machine":
            self.shop_pages.show_machine(str(paths[0]))
            return
        if self.shop_pages.shown:
            self.shop_pages.leave()
        if add:
            self.session.open(list(paths), add=True)
        else:
            self.unless_unsaved(lambda: self.session.open(list(paths)))

    def open_demo(self, name: str) -> None:
        """Put a demo drawing into the person's own folder and open it from there."""
        folder = store.config_folder() / "to-try"
        path = folder / f"{name}.dxf"
        with self.session.saying_why_not():
            if not path.is_file():
                store.make_folder(folder)
                store.write_bytes(path, drawing_bytes(name))
            self.open([path])

    def unless_unsaved(self, act: Callable[[], None]) -> None:
        """Do something that puts the work away, at once or after the person has said what becomes of changes."""
        if not self.session.unsaved:
            act()
            return
        self.shell.question.ask(
            tr('The job "{name}" has changes that are not saved.').format(name=self.session.name),
            [
                (tr("Save"), lambda: self.save(then=act)),
                (tr("Don't save"), act),
                (tr("Stay"), lambda: None),
            ],
            weight="warning",
        )

    def offer_recovery(self) -> None:
        """Offer work that was not closed."""
        for work in reversed(self.session.memory.unfinished()):
            self.shell.question.ask(
                tr("The program ended before {name} was closed. Its last state was kept.").format(name=work.name),
                [
                    (tr("Go on with it"), partial(self.unless_unsaved, partial(self._recover, work))),
                    (tr("Throw it away"), partial(self.session.memory.forget, work.folder)),
                ],
                weight="warning",
                stays=True,
            )

    def _recover(self, work: Unfinished) -> None:
        with self.session.saying_why_not():
            self.session.recover(work)

    # --- saving -------------------------------------------------------------------------------------------

    def save(self, then: Callable[[], None] | None = None) -> None:
        """Save the job to its file; the first time ask where."""
        document = self.session.document
        if not isinstance(document, JobDocument):
            return
        if document.path is None:
            self.save_as(then)
        else:
            self._save(document.path, then)

    def save_as(self, then: Callable[[], None] | None = None) -> None:
        """Ask where to save the job, and save it."""
        document = self.session.document
        if not isinstance(document, JobDocument):
            return
        stem = Path(document.job.drawings[0].name).stem
        start = document.path or (document.folder or Path.home()) / f"{stem}{SUFFIX}"
        ask_where(
            self.shell.widget,
            tr("Save the job"),
            start,
            lambda path, _kind: self._save(path, then),
            filters=[tr("Jobs (*{suffix})").format(suffix=SUFFIX)],
        )

    def _save(self, path: Path, then: Callable[[], None] | None) -> None:
        with self.session.saying_why_not():
            saved = self.session.save(path)
            self.shell.tell_briefly(tr("Saved {name}").format(name=saved))
            if then is not None:
                then()

    def close_work(self) -> None:
        """Put the work away, after a question if that would lose changes."""
        self.unless_unsaved(self._close_work)

    def _close_work(self) -> None:
        self.shell.question.drop_all()
        self.session.close()

    # --- the end ------------------------------------------------------------------------------------------

    def asks_before_closing(self) -> bool:
        """Ask about changes before the window closes; True if the window has to stay for the answer."""
        pages = self.shop_pages
        if self.closing or not (pages.unsaved or self.session.unsaved):
            return False
        if not pages.unsaved:
            self.unless_unsaved(self._close)
            return True
        self.shell.question.ask(
            tr("In the editor changes are not saved yet: {names}.").format(names=", ".join(pages.unsaved)),
            [
                (tr("Show them"), pages.show_unsaved),
                (tr("Close without saving them"), partial(self.unless_unsaved, self._close)),
                (tr("Stay"), lambda: None),
            ],
            weight="warning",
        )
        return True

    def _close(self) -> None:
        self.closing = True
        self.shell.widget.close()
