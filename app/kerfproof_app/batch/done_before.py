"""What was done before: one line for each drawing in a file of the output folder, added as soon as it is done.

So a run that is killed loses at most the drawings it was at. A line that is not whole is passed over.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import re
import time
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.result import FORMAT, Result, result_of
from kerfproof_app.shop import store

NAME = ".kerfproof-batch.jsonl"
_LEFTOVER = re.compile(r"\.kerfproof-[a-z0-9_]{8}")
_OLD_S = 10.0
"""Seconds after which a half-written file belongs to nobody any more."""


class RunMemory:
    """The results of earlier runs, by drawing, and programs that stayed behind without a drawing."""

    def __init__(self, out: Path) -> None:
        self._file = out / NAME
        self._out = out
        self.results: dict[str, Result] = {}
        self.behind: set[str] = set()
        self._read()

    def _read(self) -> None:
        if not self._file.is_file():
            return
        for line in store.read_text(self._file).split("\n"):
            with contextlib.suppress(ValueError, KeyError, TypeError, AttributeError):
                self._take(json.loads(line))

    def _take(self, record: Mapping[str, Any]) -> None:
        if record.get("format") != FORMAT:
            return
        if "behind" in record:
            self.behind.update(map(str, record["behind"]))
            return
        result = result_of(record["result"])
        before = self.results.get(result.name)
        if before is not None and before.program:
            self.behind.add(before.program)
        self.results[result.name] = result

    def still_holds(self, name: str, key: str) -> Result | None:
        """Return what the drawing became earlier if nothing it depends on has changed and its program is as written."""
        result = self.results.get(name)
        if result is None or result.key != key or not key:
            return None
        if result.program and _digest(self._out / result.program) != result.digest:
            return None
        return result

    def add(self, result: Result) -> None:
        """Remember a result at once; what can't be tried again with another end (no key) is not kept.

        Raises
        ------
        KerfproofError
            If it can't be written; the file is as before.
        """
        if not result.key:
            return
        self._take({"format": FORMAT, "result": result.record()})
        line = (json.dumps({"format": FORMAT, "result": result.record()}) + "\n").encode("ascii")
        try:
            with self._file.open("ab", buffering=0) as file:
                size = file.tell()
                try:
                    if file.write(line) != len(line):
                        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                except OSError:
                    file.truncate(size)
                    raise
        except OSError as error:
            raise KerfproofError(
                f"can't be written: {store.reason_of(error)}",
                where=str(self._file),
                advice="mend that; the next run does again what could not be noted there",
            ) from None

    def has_program(self, name: str) -> bool:
        """Whether a program of the drawing lies there from earlier."""
        result = self.results.get(name)
        return result is not None and bool(result.program) and (self._out / result.program).is_file()

    def now_behind(self, results: Iterable[Result]) -> tuple[str, ...]:
        """Return programs that belong to no drawing, without forgetting anything: the run goes on another time."""
        known = {result.program for result in (*results, *self.results.values()) if result.program}
        return tuple(sorted(name for name in self.behind - known if (self._out / name).is_file()))

    def finish(self, results: Iterable[Result]) -> tuple[str, ...]:
        """Forget drawings that are gone, write the file anew, and return programs that belong to no drawing now.

        Raises
        ------
        KerfproofError
            If it can't be written; the file is as before.
        """
        now = {result.name: result for result in results}
        programs = {result.program for result in now.values() if result.program}
        old = {result.program for result in self.results.values() if result.program}
        self.behind = {name for name in (self.behind | old) - programs if (self._out / name).is_file()}
        self.results = {name: result for name, result in now.items() if result.key}
        records: list[dict[str, Any]] = [{"format": FORMAT, "behind": sorted(self.behind)}] if self.behind else []
        records += [{"format": FORMAT, "result": self.results[name].record()} for name in sorted(self.results)]
        text = "".join(json.dumps(record) + "\n" for record in records).encode("ascii")
        if not self._file.is_file() or self._file.read_bytes() != text:
            store.write_bytes(self._file, text)
        return tuple(sorted(self.behind))


def open_out(out: Path) -> None:
    """Make the output folder if it is not there, and see that files can be written and replaced in it.

    Raises
    ------
    KerfproofError
        If not.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise KerfproofError("this is no folder", where=str(out), advice="name a folder for the programs") from None
    except OSError as error:
        raise KerfproofError(
            f"can't be made: {store.reason_of(error)}", where=str(out), advice="choose another folder"
        ) from None
    probe = out / f".kerfproof-try-{os.getpid()}"
    try:
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as error:
        raise KerfproofError(
            f"nothing can be written there: {store.reason_of(error)}", where=str(out), advice="choose another folder"
        ) from None


def sweep(out: Path, programs: Iterable[str]) -> None:
    """Remove files that a killed run left half-written in the folders of `programs`."""
    for folder in {out, *((out / program).parent for program in programs)}:
        with contextlib.suppress(OSError):
            for entry in os.scandir(folder):
                if _LEFTOVER.fullmatch(entry.name) and time.time() - entry.stat().st_mtime > _OLD_S:
                    Path(entry.path).unlink()


def _digest(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""
