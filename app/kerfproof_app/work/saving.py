"""Jobs and programs to the disk: whole or not at all, the file before kept."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from kerfproof.errors import KerfproofError, Severity
from kerfproof.job.job import SUFFIX
from kerfproof.sentence import Phrase, say
from kerfproof_app.shop import store
from kerfproof_app.work.documents import JobDocument

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome

BACKUP = ".bak"
"""Ends the name of the program that an export replaces."""


@dataclass(frozen=True, slots=True)
class Export:
    """A program that was written, and the backup of the one before, if there was one."""

    path: Path
    backup: Path | None


def why_not(outcome: Outcome | None, state: str) -> Phrase:
    """Return why the program of a session in this state may not just be exported, in plain words; empty if it may."""
    if state == "stopped":
        return "The check was stopped, so the program is not proven. Check again."
    if outcome is None or outcome.program is None:
        return "There is no program yet."
    if state == "checking":
        return "The program is still being checked."
    if state == "failed":
        return "The job as it stands can't be planned, so there is no program of it."
    errors = [f for f in outcome.findings if f.severity is Severity.ERROR]
    if errors:
        count = "An error was" if len(errors) == 1 else f"{len(errors)} errors were"
        return say("{count} found, so the program is not proven. First: {why}.", count=count, why=errors[0].problem)
    return ""


def export(outcome: Outcome, path: Path, ending: str = "", *, branded: bool) -> Export:
    """Write the program of `outcome`; `branded` puts its errors at its head.

    Raises
    ------
    KerfproofError
        If it can't be written; then the old file stands as it was.
    """
    if branded:
        from kerfproof.programs.error_banner import branded as brand

        outcome = brand(outcome)
    if outcome.program is None:
        raise KerfproofError("there is no program")
    return write_program(outcome.program.text, path, ending)


def write_program(text: str, path: Path, ending: str = "") -> Export:
    """Write the text of a program, keeping the file before as a backup; a name without an ending gets `ending`.

    Raises
    ------
    KerfproofError
        If it can't be written; then the old file stands as it was.
    """
    path = path if path.suffix else path.with_name(path.name + ending)
    store.check_target(path)
    data = text.encode("ascii", errors="replace")
    backup = None
    if path.is_file():
        before = store.read_bytes(path)
        if before != data:
            backup = path.with_name(path.name + BACKUP)
            store.write_bytes(backup, before)
    store.write_bytes(path, data)
    return Export(path, backup)


def save_job(document: JobDocument, path: Path | None) -> JobDocument:
    """Write the job with its drawings beside it and return the work as it is now on disk.

    Raises
    ------
    KerfproofError
        If there is no path, another drawing of the same name lies there, or it can't be written.
    """
    from kerfproof.job.job_file import write_job

    if path is None:
        raise KerfproofError("the job has no file yet", advice="choose where to save it")
    path = with_suffix(path)
    store.check_target(path)
    for name, data in document.sources.items():
        if name in {use.name for use in document.job.drawings}:
            _put_beside(path.parent / name, data)
    text = write_job(document.job, document.text)
    store.write_bytes(path, text.encode("utf-8"))
    return replace(document, path=path, text=text)


def with_suffix(path: Path) -> Path:
    """Return the path with the ending of job files."""
    return path if path.name.lower().endswith(SUFFIX) else path.with_name(path.name.removesuffix(".toml") + SUFFIX)


def _put_beside(target: Path, data: bytes) -> None:
    if not target.exists():
        store.write_bytes(target, data)
    elif store.read_bytes(target) != data:
        raise KerfproofError(
            "another drawing of this name lies there", where=str(target), advice="save the job in another folder"
        )
