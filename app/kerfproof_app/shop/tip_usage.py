"""How much of the tip is used: pierces and arc time of the programs that the person says were cut.

One SQLite file in the person's data folder. Each change is one transaction that takes the file for itself, so two
windows can't lose each other's counts. A damaged file, or one that stays locked, is set aside under another name and
a new one begun, and the person is told.
"""

from __future__ import annotations

import contextlib
import math
import os
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

import platformdirs

from kerfproof.errors import KerfproofError
from kerfproof.sentence import counted
from kerfproof_app.shop import store

DATA_VARIABLE = "KERFPROOF_DATA"
"""Environment variable that names another folder for what the program keeps by itself."""
NAME = "tiplife.sqlite"
PATIENCE = 10.0
"""Seconds to wait for another process; a change takes milliseconds."""

_TABLES = (
    "CREATE TABLE IF NOT EXISTS tips (id INTEGER PRIMARY KEY, machine TEXT NOT NULL, fitted TEXT NOT NULL, "
    "note TEXT NOT NULL DEFAULT '')",
    "CREATE TABLE IF NOT EXISTS cuts (id INTEGER PRIMARY KEY, tip INTEGER NOT NULL REFERENCES tips(id), "
    "at TEXT NOT NULL, program TEXT NOT NULL, digest TEXT NOT NULL, starts INTEGER NOT NULL, arc_s REAL NOT NULL, "
    "lasts INTEGER NOT NULL)",
)
_NOW = "(SELECT MAX(id) FROM tips WHERE machine = :machine)"
"""The tip in use."""
_TIP = f"""SELECT fitted, note, COUNT(cuts.id) AS programs, COALESCE(SUM(starts), 0) AS starts,
    COALESCE(SUM(arc_s), 0.0) AS arc_s,
    COALESCE(SUM(CAST(starts AS REAL) / NULLIF(MAX(lasts, 0), 0)), 0.0) AS used,
    COALESCE(SUM(lasts <= 0), 0) AS uncounted
    FROM tips LEFT JOIN cuts ON cuts.tip = tips.id WHERE tips.id = {_NOW} GROUP BY tips.id"""
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tip:
    """The tip in use on one machine. `used` is the share of its life: each start counts 1 / starts per tip of its row.

    `counted` is false where a cut was made on a row without a tip life: then the share is too small.
    """

    machine: str
    fitted: str
    starts: int = 0
    arc_s: float = 0.0
    used: float = 0.0
    programs: int = 0
    counted: bool = True
    note: str = ""


@dataclass(slots=True)
class TipLife:
    """The counts. `told` are sentences for the person about a file that had to be set aside."""

    path: Path
    patience: float = PATIENCE
    told: list[str] = field(default_factory=list)

    @staticmethod
    def of_person() -> TipLife:
        """Return the counts in the person's data folder; it need not exist."""
        return TipLife(data_folder() / NAME)

    def tip(self, machine: str) -> Tip | None:
        """Return the tip in use, None where nothing was ever counted on this machine."""
        if not self.path.exists():
            return None
        return self._do(lambda db: _tip(db, machine))

    def tips(self) -> list[Tip]:
        """Return the tips in use on all machines, by name."""
        if not self.path.exists():
            return []
        names = "SELECT DISTINCT machine FROM tips ORDER BY machine"
        return self._do(lambda db: [tip for row in db.execute(names).fetchall() if (tip := _tip(db, row["machine"]))])

    def fit_new(self, machine: str, at: str, note: str = "") -> Tip | None:
        """Begin a new tip; return the one that it replaces."""

        def change(db: sqlite3.Connection) -> Tip | None:
            old = _tip(db, machine)
            db.execute("INSERT INTO tips (machine, fitted, note) VALUES (?, ?, ?)", (machine, at, note))
            return old

        return self._do(change)

    def count(
        self, machine: str, at: str, program: str, digest: str, starts: int, arc_s: float, lasts: int
    ) -> tuple[Tip, int]:
        """Count a program as cut; return the tip and how often this very program was counted on it, now included.

        `lasts` is how many starts a tip lasts on its chart row, 0 if unknown.
        """
        cut = {
            "machine": machine, "at": at, "program": program, "digest": digest, "starts": starts,
            "arc_s": float(arc_s), "lasts": lasts,
        }  # fmt: skip

        def change(db: sqlite3.Connection) -> tuple[Tip, int]:
            db.execute(f"INSERT INTO tips (machine, fitted) SELECT :machine, :at WHERE {_NOW} IS NULL", cut)
            db.execute(
                "INSERT INTO cuts (tip, at, program, digest, starts, arc_s, lasts) "
                f"VALUES ({_NOW}, :at, :program, :digest, :starts, :arc_s, :lasts)",
                cut,
            )
            times = db.execute(f"SELECT COUNT(*) FROM cuts WHERE digest = :digest AND tip = {_NOW}", cut).fetchone()[0]
            now = _tip(db, machine)
            assert now is not None
            return now, int(times)

        return self._do(change)

    # --- the file ---------------------------------------------------------------------------------------------

    def _do(self, work: Callable[[sqlite3.Connection], T]) -> T:
        """Return what `work` does in one transaction; set the file aside and do it again if it can't be used."""
        for attempt in (1, 2):
            seen = _identity(self.path)
            try:
                with self._open() as db:
                    return work(db)
            except sqlite3.DatabaseError as error:
                if attempt == 2:
                    raise KerfproofError(f"the tip count can't be kept: {error}", where=str(self.path)) from None
                self._set_aside(error, seen)
        raise AssertionError("unreachable")

    @contextlib.contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        store.make_folder(self.path.parent)
        with contextlib.closing(sqlite3.connect(self.path, timeout=self.patience, isolation_level=None)) as db, db:
            db.row_factory = sqlite3.Row
            db.execute("BEGIN IMMEDIATE")
            for table in _TABLES:
                db.execute(table)
            yield db

    def _set_aside(self, error: sqlite3.DatabaseError, seen: tuple[int, int] | None) -> None:
        """Rename the file, unless another process has done so meanwhile."""
        if seen is None or not self.path.is_file():
            raise KerfproofError(f"the tip count can't be kept: {error}", where=str(self.path)) from None
        locked = isinstance(error, sqlite3.OperationalError) and "locked" in str(error)
        if not locked and isinstance(error, sqlite3.OperationalError) and "readonly" in str(error).replace("-", ""):
            raise KerfproofError("can't be written: no permission", where=str(self.path)) from None
        why = "is locked by another program" if locked else "is damaged"
        if _identity(self.path) != seen:
            return
        backup = _free_name(self.path, "locked" if locked else "damaged")
        try:
            self.path.rename(backup)
        except OSError as failure:
            raise KerfproofError(f"{why} and can't be set aside: {failure}", where=str(self.path)) from None
        for extra in ("-journal", "-wal", "-shm"):
            with contextlib.suppress(OSError):
                self.path.with_name(self.path.name + extra).rename(backup.with_name(backup.name + extra))
        self.told.append(f"the tip count {self.path} {why}: it was kept as {backup.name} and a new one was begun")


def data_folder() -> Path:
    """Return the folder of what the program keeps by itself; it need not exist."""
    given = os.environ.get(DATA_VARIABLE)
    return Path(given) if given else Path(platformdirs.user_data_path("kerfproof", appauthor=False))


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino


def _free_name(path: Path, why: str) -> Path:
    number = 1
    while (found := path.with_name(f"{path.stem}-{why}-{number}{path.suffix}")).exists():
        number += 1
    return found


def _tip(db: sqlite3.Connection, machine: str) -> Tip | None:
    row = db.execute(_TIP, {"machine": machine}).fetchone()
    if row is None:
        return None
    values = dict(row)
    return Tip(machine=machine, counted=not values.pop("uncounted"), **values)


def share_used(machine: str) -> float | None:
    """Return the share of the tip's life that is gone by what was counted, None where nothing was or it can't be read.

    A share of cuts without a tip life in their chart is not known either.
    """
    try:
        tip = TipLife.of_person().tip(machine)
    except KerfproofError:
        return None
    return tip.used if tip is not None and tip.counted else None


def warnings(machine: str, starts: int, lasts: int) -> list[str]:
    """Return what is to be said of the tip before a program of so many starts; nothing where it lasts."""
    life = TipLife.of_person()
    try:
        tip = life.tip(machine)
    except KerfproofError as error:  # a count that can't be read is no reason to fail
        return [str(error)]
    warning = outruns(tip, starts, lasts)
    return [*life.told, *([warning] if warning else [])]


def outruns_by_share(machine: str, share: float) -> str:
    """Return a warning if programs that take so many tips' lives need more than is left of the tip, else nothing."""
    used = share_used(machine) or 0.0
    if used + share <= 1.0 + 1e-9:
        return ""
    spare = math.ceil(used + share - 1e-9) - 1
    tips = "one new tip" if spare == 1 else f"{spare} new tips"
    return f"all programs for {machine} take {share:.0%} of a tip's life, {used:.0%} is used: have {tips} at hand"


def outruns(tip: Tip | None, starts: int, lasts: int) -> str:
    """Return a warning if a job of `starts` needs more than is left of the tip, else nothing.

    Without a tip a new one is taken for granted. `lasts` is the starts per tip of the job's row, 0 if unknown.
    """
    if lasts <= 0 or starts <= 0:
        return ""
    used = tip.used if tip is not None else 0.0
    left = max(0.0, 1.0 - used) * lasts
    if starts <= left + 1e-9:
        return ""
    takes = f"the job takes {counted(starts, 'start')}"
    if starts > lasts:
        return f"{takes}, a new tip lasts about {lasts} on this plate: have spare tips at hand"
    has = f"the tip has about {int(left + 1e-9)} left ({used:.0%} used)"
    return f"{takes}, {has}: begin with a new one (then: kerfproof tip new)"
