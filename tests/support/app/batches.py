"""What tests of the batch share: drawings to write, a pool without processes, someone who listens."""

from __future__ import annotations

import functools
import io
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import ezdxf

from kerfproof.job.job import SmallHoles
from kerfproof_app.batch.folder_settings import FolderSettings
from kerfproof_app.batch.one_drawing import Task, make
from kerfproof_app.batch.pool import Begun, Done
from kerfproof_app.batch.result import Result
from kerfproof_app.batch.tasks import BatchOrder


@functools.cache
def plate(hole: float = 20.0, width: float = 100.0, unit: int = 4) -> bytes:
    """Return the DXF bytes of a plate of `width` x 60 with one round hole in its middle."""
    doc = ezdxf.new("R2010", units=unit)
    space = doc.modelspace()
    space.add_lwpolyline([(0, 0), (width, 0), (width, 60), (0, 60)], close=True)
    space.add_circle((width / 2, 30), hole / 2)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode()


def put(path: Path, data: bytes | None = None) -> Path:
    """Write a drawing (or other bytes), making its folders."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(plate() if data is None else data)
    return path


def everything(folder: Path) -> dict[str, bytes]:
    """Return the bytes of all files below a folder, hidden ones too."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


class Inline:
    """A pool that does the work itself, at once; stands in for `Pool`."""

    def __init__(self, work: object = make, slots: int = 1, limit_s: float = 0.0) -> None:
        self.asked: list[str] = []

    def run(self, tasks: Sequence[Task]) -> Iterator[Begun | Done[Result]]:
        """Yield what happens."""
        for index, task in enumerate(tasks):
            self.asked.append(task.name)
            yield Begun(index)
            yield Done(index, make(task))

    def close(self) -> None:
        """Do nothing."""


class Listener:
    """Keeps what it hears."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.begun: list[str] = []
        self.counts: list[tuple[int, int]] = []

    def total(self, count: int, unchanged: int) -> None:
        """Keep the counts."""
        self.counts.append((count, unchanged))

    def begins(self, name: str) -> None:
        """Keep the name."""
        self.begun.append(name)

    def ends(self, result: Result) -> None:
        """Hear it."""

    def says(self, sentence: str) -> None:
        """Keep the sentence."""
        self.said.append(sentence)


def order(folder: Path, out: Path, **changes: Any) -> BatchOrder:
    """Return an order for mild steel of 3 mm on the built-in machine in mm, unless told otherwise.

    Small holes are an error, so that a plate with one is a drawing that is refused.
    """
    shop = {"machine": "contact-float-mm", "material": "mild steel", "thickness": 3.0, "small_holes": SmallHoles.ERROR}
    said = changes.pop("said", FolderSettings(**shop))
    return BatchOrder(folder=folder, out=out, said=said, **changes)


IS_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0
