"""A machine or chart file while it is edited: its text, what each key holds, and all its mistakes by key. No Qt."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from kerfproof.api import read_machine
from kerfproof.errors import FileBroken, Finding, KerfproofError
from kerfproof.shop.chart_file import ChartFile, parse_chart
from kerfproof.shop.file_model import FileMistakes, FileModel, read_toml
from kerfproof.shop.machine_file import MachineFile
from kerfproof.shop.machine_findings import machine_findings
from kerfproof_app.shop import store
from kerfproof_app.shop.store import ShopFile

Keys = tuple[str | int, ...]
"""Keys and row numbers (from 0) down to a value."""


@dataclass(frozen=True, slots=True)
class ShopKind:
    """What is edited: the folder, the word for people, the model of the file."""

    folder: str
    word: str
    model: type[FileModel]


MACHINES = ShopKind("machines", "machine", MachineFile)
CHARTS = ShopKind("charts", "chart", ChartFile)


class ShopDocument:
    """One file. Every change is one step that can be undone; comments and order of the text stay as they are."""

    def __init__(self, kind: ShopKind, file: ShopFile) -> None:
        self.kind, self.file = kind, file
        self.text = file.text
        self._saved = file.text
        self._undo: list[str] = []
        self._redo: list[str] = []
        self.broken: KerfproofError | None = None
        """Why the text is no TOML at all; None where it is."""
        self.mistakes: dict[str, str] = {}
        """Sentences by key path, as the files' reader says them."""
        self.findings: tuple[Finding, ...] = ()
        """What is worth a warning though the file can be used."""
        self._listeners: list[Callable[[], None]] = []
        self._document: Any = None
        self._check()

    def listen(self, listener: Callable[[], None]) -> None:
        """Call `listener` after each change."""
        self._listeners.append(listener)

    # --- the state --------------------------------------------------------------------------------------------

    @property
    def read_only(self) -> bool:
        """Whether this is a built-in file, which is copied before it is changed."""
        return self.file.origin == "built-in"

    @property
    def changed(self) -> bool:
        """Whether the text differs from the file."""
        return self.text != self._saved

    @property
    def good(self) -> bool:
        """Whether the file can be used as it is."""
        return self.broken is None and not self.mistakes

    @property
    def broken_line(self) -> int | None:
        """The line (from 1) at which the text stops being TOML."""
        return self.broken.line if isinstance(self.broken, FileBroken) else None

    # --- values -----------------------------------------------------------------------------------------------

    def get(self, keys: Keys) -> Any:
        """Return what the file holds under some keys as plain values, None where it says nothing."""
        place: Any = self._document
        for part in keys:
            try:
                place = place[part]
            except (KeyError, IndexError, TypeError):
                return None
        return place.unwrap() if hasattr(place, "unwrap") else place

    def set(self, keys: Keys, value: Any) -> None:
        """Put another value under some keys; None takes the key out of the file."""
        self.set_all({keys: value})

    def set_all(self, values: Mapping[Keys, Any]) -> None:
        """Put other values under some keys, as one step."""
        if self._document is None:
            return
        for keys, value in values.items():
            if self.get(keys) != value:
                self._put(keys, value)
        self.set_text(tomlkit.dumps(self._document))

    def _put(self, keys: Keys, value: Any) -> None:
        place: Any = self._document
        for part in keys[:-1]:
            if isinstance(part, str) and part not in place:
                place[part] = tomlkit.table()
            place = place[part]
            if not hasattr(place, "__setitem__"):
                return
        if value is None:
            del place[keys[-1]]
        else:
            place[keys[-1]] = _item(value)

    def set_text(self, text: str) -> None:
        """Make `text` the text, as one step."""
        if text != self.text:
            self._undo.append(self.text)
            self._redo.clear()
            self._become(text)

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._undo)

    @property
    def can_redo(self) -> bool:
        """Whether there is a change to do again."""
        return bool(self._redo)

    def undo(self) -> None:
        """Take the last change back."""
        if self._undo:
            self._redo.append(self.text)
            self._become(self._undo.pop())

    def redo(self) -> None:
        """Do the change last taken back again."""
        if self._redo:
            self._undo.append(self.text)
            self._become(self._redo.pop())

    def _become(self, text: str) -> None:
        self.text = text
        self._check()
        for listener in tuple(self._listeners):
            listener()

    # --- rows of a chart --------------------------------------------------------------------------------------

    def rows(self) -> list[dict[str, Any]]:
        """Return the rows of a chart as they are written."""
        found = self.get(("row",))
        return [row if isinstance(row, dict) else {} for row in found] if isinstance(found, list) else []

    def add_row(self, like: int | None = None) -> int:
        """Add a row behind `like` with its values, or an empty one at the end; return its number (from 0)."""
        rows = self.rows()
        values = rows[like] if like is not None and like < len(rows) else {}
        return self.insert_row(len(rows) if like is None else like + 1, values)

    def insert_row(self, at: int, values: Mapping[str, Any]) -> int:
        """Put a row with these values before row `at` (from 0), and return its number."""
        if "row" not in self._document:
            self._document["row"] = tomlkit.aot()
        table = self._document["row"]
        entry = tomlkit.table() if isinstance(table, AoT) else tomlkit.inline_table()
        for key, value in values.items():
            entry[key] = _item(value)
        table.insert(at, entry)
        self.set_text(tomlkit.dumps(self._document))
        return at

    def remove_row(self, number: int) -> None:
        """Take a row out."""
        if 0 <= number < len(self.rows()):
            del self._document["row"][number]
            self.set_text(tomlkit.dumps(self._document))

    # --- checking ---------------------------------------------------------------------------------------------

    def _check(self) -> None:
        self.broken, self.mistakes, self.findings, self._document = None, {}, (), None
        try:
            read_toml(self.text, self.file.where)
            self._document = tomlkit.parse(self.text)
        except KerfproofError as error:
            self.broken = error
            return
        except TOMLKitError as error:
            self.broken = FileBroken(str(error), where=self.file.where)
            self.broken.line = getattr(error, "line", None)  # of errors of reading, not of those of editing
            return
        try:
            if self.kind is MACHINES:
                self.findings = machine_findings(read_machine(self.text, self.file.where))
            else:
                parse_chart(self.text, self.file.where)
        except FileMistakes as error:
            self.mistakes = error.by_place()
        except KerfproofError as error:
            self.mistakes = {"the file": error.what}

    # --- files ------------------------------------------------------------------------------------------------

    def save(self) -> Path:
        """Write the file and return where it lies.

        Raises
        ------
        KerfproofError
            If it is built-in, has mistakes, or can't be written.
        """
        if self.read_only:
            raise KerfproofError(f"this {self.kind.word} is built-in", advice="copy it to your own first")
        if not self.good:
            raise KerfproofError(f"this {self.kind.word} still has mistakes", advice="mend the marked fields")
        target = Path(self.file.where)
        store.write_bytes(target, self.text.encode("utf-8"))
        self._saved = self.text
        return target

    def copied(self, name: str) -> ShopDocument:
        """Return an own copy of the file under another name, already written.

        Raises
        ------
        KerfproofError
            If the name is none or taken, or it can't be written.
        """
        called = self.file.where if self.file.origin == "file" else self.file.name
        store.copy_shop_file(self.kind.folder, called, name)
        return ShopDocument(self.kind, store.shop_file(self.kind.folder, name))


def _item(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def free_name(folder: str, like: str) -> str:
    """Return a name for an own file that is not taken."""
    taken = {file.name for file in store.shop_files(folder)}
    plain = re.sub(r"[^\w.-]+", "-", like).strip("-.") or "my"
    name = f"my-{plain}" if not plain.startswith("my-") else plain
    return next(n for n in (name, *(f"{name}-{k}" for k in range(2, 1000))) if n not in taken)
