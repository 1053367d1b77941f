"""All that goes out of the window: the program, what is written beside it, and the rest of one that stopped."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from kerfproof_app.window.files.job_files import JobFiles
from kerfproof_app.window.files.program_export import ProgramExport
from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.shell import Shell
from kerfproof_app.window.work_area import WorkArea

if TYPE_CHECKING:
    from kerfproof_app.window.files.resume_export import ResumeExport
    from kerfproof_app.window.files.side_exports import SideExports


class Exports:
    """Those that write; all but the program's own are made when they are first wanted."""

    def __init__(self, shell: Shell, area: WorkArea, files: JobFiles, background: BackgroundWork) -> None:
        self._shell, self._files, self._background = shell, files, background
        self.program = ProgramExport(shell, area.side)

    @cached_property
    def beside(self) -> SideExports:
        """What is written beside the program."""
        from kerfproof_app.window.files.side_exports import SideExports

        return SideExports(self._shell, self.program, self._background)

    @cached_property
    def rest(self) -> ResumeExport:
        """The rest of a program that stopped."""
        from kerfproof_app.window.files.resume_export import ResumeExport

        return ResumeExport(self._shell, self.program, self._files, self._background)
