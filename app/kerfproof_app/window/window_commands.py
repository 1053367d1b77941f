"""What the window is asked to do with files and with the big pages, by one word each."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kerfproof_app.window.frame import Frame
from kerfproof_app.window.widgets.typed_fields import restore_typed

if TYPE_CHECKING:
    from kerfproof_app.window.files import Files


class Doing(Frame):
    """A window that hands these words on to those who do it."""

    files: Files

    def ask_open(self) -> None:
        """Let the person choose files."""
        self.files.ask_open()

    def ask_add(self) -> None:
        """Let the person choose drawings to add, or to compare a program with."""
        self.files.ask_open(add=True)

    def open_files(self, paths: Sequence[Path], *, add: bool = False) -> None:
        """Open files, after a question if that would lose changes."""
        self.files.open(paths, add=add)

    def open_demo(self, name: str) -> None:
        """Open a drawing that comes with the program."""
        self.files.open_demo(name)

    def save(self) -> None:
        """Save the job."""
        self.files.save()

    def save_as(self) -> None:
        """Save the job under another name."""
        self.files.save_as()

    def export(self) -> None:
        """Write the program where the person says."""
        self.files.export()

    def undo(self) -> None:
        """Take the last step back, and what is typed and was refused."""
        restore_typed(self.side)
        self.session.undo()

    def redo(self) -> None:
        """Do the step last taken back again."""
        restore_typed(self.side)
        self.session.redo()

    # --- the big pages --------------------------------------------------------------------------------------

    def show_machine(self, name: str = "", key: str = "") -> None:
        """Open the machine editor, at a field if one is named."""
        job = self.session.job
        self.shop_pages.show_machine(name or (job.machine if job else ""), key)

    def show_chart(self, name: str = "") -> None:
        """Open the chart editor."""
        job = self.session.job
        self.shop_pages.show_chart(name or (job.chart if job else ""))

    def show_first_run(self) -> None:
        """Open the short way to a table of one's own."""
        self.shop_pages.show_first_run()

    def show_guide(self, page: str) -> None:
        """Open a page of the guide."""
        self.shop_pages.show_guide(page)

    def show_rule(self, rule: str) -> None:
        """Open the page of a rule."""
        self.shop_pages.show_rule(rule)
