"""What a folder tree holds: its drawings in a fixed order, and what was passed over with the reason."""

from __future__ import annotations

import os
import stat
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import store

SUFFIX = ".dxf"
SETTINGS = "kerfproof.toml"
"""Name of the file with a folder's settings."""


@dataclass(frozen=True, slots=True)
class Source:
    """One drawing: its path below the folder with slashes, and where it lies. `problem`: why it is no file to read."""

    name: str
    path: Path
    problem: str = ""

    @property
    def folders(self) -> tuple[str, ...]:
        """The folders from the top (empty text) down to the one that the drawing lies in."""
        parts = self.name.split("/")[:-1]
        return ("", *("/".join(parts[: k + 1]) for k in range(len(parts))))


@dataclass(frozen=True, slots=True)
class Tree:
    """A folder with all below it. `settings` are the settings files by folder, `passed` what was not entered."""

    sources: tuple[Source, ...]
    settings: dict[str, Path]
    passed: tuple[str, ...]


def look(folder: Path, out: Path | None = None) -> Tree:
    """Return the drawings below `folder`, sorted; hidden files and everything below `out` are passed over.

    Links to folders outside are followed once; links to folders inside the tree are not, so no loop has an end
    to wait for.

    Raises
    ------
    KerfproofError
        If `folder` is no folder or can't be listed.
    """
    if not folder.exists():
        raise KerfproofError("no such folder", where=str(folder), advice="check the name")
    if not folder.is_dir():
        raise KerfproofError("this is no folder", where=str(folder), advice="kerfproof cut takes single drawings")
    walk = _Walk(folder.resolve(), None if out is None else out.resolve())
    walk.enter(folder, "")
    if walk.top_problem:
        raise KerfproofError(f"can't be listed: {walk.top_problem}", where=str(folder))
    return Tree(tuple(sorted(walk.sources, key=lambda s: s.name)), walk.settings, tuple(walk.passed))


class _Walk:
    def __init__(self, top: Path, out: Path | None) -> None:
        self._top, self._out = top, out if out != top else None
        self._seen: set[Path] = set()
        self.sources: list[Source] = []
        self.settings: dict[str, Path] = {}
        self.passed: list[str] = []
        self.top_problem = ""

    def enter(self, folder: Path, name: str) -> None:
        """Take in `folder`, called `name` below the top; its folders come after its files."""
        real = folder.resolve()
        if real == self._out or real in self._seen:
            return
        self._seen.add(real)
        try:
            entries = sorted(os.scandir(folder), key=lambda e: e.name)
        except OSError as error:
            reason = store.reason_of(error)
            if name:
                self.passed.append(f"{name}: the folder can't be listed: {reason}")
            else:
                self.top_problem = reason
            return
        inner = [entry for entry in entries if not entry.name.startswith(".") and self._take(entry, name)]
        for entry in sorted(inner, key=lambda e: e.is_symlink()):
            self.enter(Path(entry.path), _below(name, entry.name))

    def _take(self, entry: os.DirEntry[str], above: str) -> bool:
        """Take in a file; return whether it is a folder to enter."""
        name, path = _below(above, entry.name), Path(entry.path)
        if _is_folder(entry):
            return not entry.is_symlink() or self._leads_out(path, name)
        if entry.name == SETTINGS:
            self.settings[above] = path
        elif entry.name.lower().endswith(SUFFIX):
            self.sources.append(Source(name, path, _problem(path)))
        return False

    def _leads_out(self, link: Path, name: str) -> bool:
        """Whether a link leads out of the tree to a folder that was not seen yet."""
        real = link.resolve()
        if real.is_relative_to(self._top):
            self.passed.append(f"{name}: a link to a folder of the same tree, not followed")
            return False
        if self._top.is_relative_to(real) or real in self._seen:
            self.passed.append(f"{name}: a link that leads back here, not followed")
            return False
        return True


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link to itself
        return False


def _below(above: str, name: str) -> str:
    return f"{above}/{name}" if above else name


def _problem(path: Path) -> str:
    """Return why this can't be read as a file, empty if it can; a pipe would keep us waiting for ever."""
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return "a link to a file that is not there"
    except OSError as error:
        return f"can't be read: {store.reason_of(error)}"
    return "" if stat.S_ISREG(mode) else "this is no file with a drawing"


def target_of(name: str, extension: str) -> str:
    """Return the program's path below the output folder for a drawing's path below the input folder."""
    return name[: -len(SUFFIX)] + extension


def clashes(targets: dict[str, str]) -> Iterator[tuple[str, ...]]:
    """Yield drawings that would write the same program, from program paths by drawing.

    Case and the way that accents are stored count for nothing: on many disks they are the same file.
    """
    groups: dict[str, list[str]] = {}
    for name, target in targets.items():
        groups.setdefault(unicodedata.normalize("NFC", target).casefold(), []).append(name)
    yield from (tuple(group) for group in groups.values() if len(group) > 1)


def shown(name: str) -> str:
    """Return a file's name as it can be printed on one line by any terminal and written to any text file."""
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in name)
