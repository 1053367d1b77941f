"""Watching a folder: what is saved into it becomes a program seconds later, and half-copied files are waited for."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from kerfproof_app.batch import folder as tree_of
from kerfproof_app.batch.done_before import open_out
from kerfproof_app.batch.folder import Tree
from kerfproof_app.batch.lock import locked
from kerfproof_app.batch.one_drawing import Task, make
from kerfproof_app.batch.pool import Pool
from kerfproof_app.batch.result import Result
from kerfproof_app.batch.run import Batch, Stopped, Talk, one_round
from kerfproof_app.batch.tasks import BatchOrder, Resolve

EVERY_S = 1.0
"""Seconds from look to look."""
PATIENCE_S = 15.0
"""Seconds that a drawing without its last line is waited for after it last grew."""

Stamp = tuple[int, int]
"""Size and time of change of a file."""
NO_STAMP: Stamp = (-1, -1)


@dataclass(eq=False)
class Watcher:
    """Looks at a folder again and again. `clock` counts seconds."""

    order: BatchOrder
    resolve: Resolve
    talk: Talk
    pool: Pool[Task, Result]
    clock: Callable[[], float] = time.monotonic
    _stamps: dict[Path, tuple[Stamp, float]] = field(default_factory=dict)
    _done: dict[Path, Stamp] | None = None
    _waited: set[Path] = field(default_factory=set)

    def look(self) -> Batch | None:
        """Look once and cut what is new or changed; return all results if anything was, else None.

        Files that still change are left for a later look; until then they count as they were.
        """
        tree = tree_of.look(self.order.folder, self.order.out)
        now = _stamps(tree)
        settled = {path: stamp for path, stamp in now.items() if self._settled(path, stamp)}
        self._stamps = {path: held for path, held in self._stamps.items() if path in now}
        first, before = self._done is None, self._done or {}
        if not set(tree.settings.values()) <= settled.keys():
            return None
        if before.keys() <= now.keys() and all(before.get(path) == stamp for path, stamp in settled.items()):
            return None
        self._done = {
            path: settled.get(path, before.get(path, NO_STAMP)) for path in now if path in settled or path in before
        }
        ready = tuple(source for source in tree.sources if source.path in settled)
        waiting = frozenset(source.name for source in tree.sources if source.path not in settled)
        seen = replace(tree, sources=ready, passed=tree.passed if first else ())
        order = self.order if first else replace(self.order, again=False)
        return one_round(order, self.resolve, self.talk, seen, self.pool, waiting)

    def _settled(self, path: Path, stamp: Stamp) -> bool:
        """Whether a file is as it was at the last look, and whole as far as that can be seen."""
        if stamp == NO_STAMP:
            return True
        held = self._stamps.get(path)
        if held is None or held[0] != stamp:
            self._stamps[path] = (stamp, self.clock())
            return False
        if self._done is not None and self._done.get(path) == stamp:
            return True
        waited = self.clock() - held[1]
        if path.name == tree_of.SETTINGS or ends_whole(path) or waited >= PATIENCE_S:
            return True
        if path not in self._waited:
            self._waited.add(path)
            self.talk.says(f"{tree_of.shown(path.name)}: its end is missing; it may still be being copied")
        return False


def ends_whole(path: Path) -> bool:
    """Whether a drawing ends as DXF files do, with the word EOF; one that is still being copied does not."""
    try:
        with path.open("rb") as file:
            file.seek(0, 2)
            file.seek(max(0, file.tell() - 64))
            return b"EOF" in file.read()
    except OSError:
        return False


def _stamps(tree: Tree) -> dict[Path, Stamp]:
    """Return the stamp of every drawing and settings file; what is no file has none that could change."""
    stamps = {}
    for path in (*(source.path for source in tree.sources), *tree.settings.values()):
        with contextlib.suppress(OSError):
            status = path.stat()
            stamps[path] = (status.st_size, status.st_mtime_ns)
    return stamps | {source.path: NO_STAMP for source in tree.sources if source.problem}


def watch(
    order: BatchOrder,
    resolve: Resolve,
    talk: Talk,
    report: Callable[[Batch], None],
    pause: Callable[[float], None] = time.sleep,
) -> None:
    """Cut and report whatever comes into the folder until the person stops it (KeyboardInterrupt or Stopped).

    Raises
    ------
    KerfproofError
        If the folder goes away, nothing can be written, or another batch is writing there.
    """
    tree_of.look(order.folder, order.out)
    open_out(order.out)
    with locked(order.out):
        pool = Pool(make, order.processes, order.limit_s)
        watcher = Watcher(order, resolve, talk, pool)
        try:
            while True:
                batch = watcher.look()
                if batch is not None:
                    report(batch)
                pause(EVERY_S)
        except Stopped as stopped:
            report(stopped.batch)
            raise
        finally:
            pool.close()
