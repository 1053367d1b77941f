"""What can be open: a job with its drawings, or a program by itself with the drawings it is compared with. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from kerfproof.job.job import Job

if TYPE_CHECKING:  # what judges a program is loaded where it runs
    from kerfproof.programs.drawing_lookup import DrawingAtHand


@dataclass(frozen=True, slots=True, kw_only=True)
class JobDocument:
    """One state of a job, with its drawings' bytes by name. `path` and `text` are its file as last saved or opened."""

    job: Job
    sources: Mapping[str, bytes] = field(default_factory=dict)
    folder: Path | None = None
    """Where the first drawing lies; exports go there at first."""
    path: Path | None = None
    text: str | None = None

    @property
    def name(self) -> str:
        """What it is called: its file, else its drawings."""
        return self.path.name if self.path is not None else ", ".join(use.name for use in self.job.drawings)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramDocument:
    """A program that was opened by itself, and with which drawings it is compared.

    It is judged on `machine`; `material` and `thickness` are the plate where it does not say one.
    """

    text: str
    name: str
    folder: Path | None
    machine: str
    chart: str
    material: str
    thickness: float
    drawings: tuple[DrawingAtHand, ...] = ()

    @property
    def sources(self) -> Mapping[str, bytes]:
        """The bytes of the drawings by their names."""
        return {drawing.name: drawing.data for drawing in self.drawings}


Document = JobDocument | ProgramDocument
