"""The batch: from a folder to results in the order of the drawings' names."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from kerfproof.errors import KerfproofError
from kerfproof_app import store
from kerfproof_app.batch.folder import Tree, look, shown
from kerfproof_app.batch.pool import Begun, Done, Lost, Pool
from kerfproof_app.batch.result import Result
from kerfproof_app.batch.state import Memory, open_out, sweep
from kerfproof_app.batch.tasks import Order, Resolve, tasks_of
from kerfproof_app.batch.work import Task, failed, key_of, make


class Talk(Protocol):
    """Hears how the batch goes on."""

    def total(self, count: int, unchanged: int) -> None:
        """Hear how many drawings there are to do, and how many need nothing."""

    def begins(self, name: str) -> None:
        """Hear that a drawing has been begun."""

    def ends(self, result: Result) -> None:
        """Hear that a drawing is done."""

    def says(self, sentence: str) -> None:
        """Hear something the person should know."""


@dataclass(frozen=True, slots=True)
class Batch:
    """All results by name, how many of them were made now, and programs that belong to no drawing any more."""

    results: tuple[Result, ...]
    made: int
    behind: tuple[str, ...]


class Stopped(Exception):
    """The person stopped the run. `left` are the drawings that were not done."""

    def __init__(self, done: int, left: tuple[str, ...]) -> None:
        self.done, self.left = done, left
        super().__init__(f"{done} done, {len(left)} left")


def run(order: Order, resolve: Resolve, talk: Talk) -> Batch:
    """Cut every drawing of a folder once and return what became of them.

    Raises
    ------
    KerfproofError
        If there is no drawing, or nothing can be written.
    Stopped
        If the person stopped it; what is written is whole, and the next run does the rest.
    """
    tree = look(order.folder, order.out)
    if not tree.sources:
        raise nothing_there(order.folder, tree)
    open_out(order.out)
    pool = Pool(make, order.processes, order.limit_s)
    try:
        return one_round(order, resolve, talk, tree, pool)
    finally:
        pool.close()


def nothing_there(folder: Path, tree: Tree) -> KerfproofError:
    """Return the refusal of a folder without drawings."""
    empty = not any(folder.iterdir())
    passed = f"; {'; '.join(tree.passed)}" if tree.passed else ""
    what = "the folder is empty" if empty else f"there is no drawing (*.dxf) in the folder or below{passed}"
    return KerfproofError(shown(what), where=shown(str(folder)), advice="name a folder with drawings")


def one_round(
    order: Order,
    resolve: Resolve,
    talk: Talk,
    tree: Tree,
    pool: Pool[Task, Result],
    waiting: frozenset[str] = frozenset(),
) -> Batch:
    """Cut what has to be cut of a tree, remember it, and return all results.

    Drawings that are `waiting` are not of the tree yet: they stay as they were remembered.
    """
    memory = Memory(order.out)
    for passed in tree.passed:
        talk.says(shown(passed))
    tasks, results = tasks_of(order, tree, resolve, talk.says)
    sweep(order.out, [task.program for task in tasks])
    todo = []
    for task in tasks:
        before = None if order.again else _before(memory, task)
        if before is None:
            todo.append(task)
        else:
            results.append(before)
    talk.total(len(todo), len(tasks) - len(todo))
    for result in _made(todo, pool, talk):
        results.append(result)
        _remember(memory, result, talk)
    results += [memory.results[name] for name in sorted(waiting) if name in memory.results]
    results.sort(key=lambda r: r.name)
    try:
        behind = memory.finish(results)
    except KerfproofError as error:
        talk.says(str(error))
        behind = tuple(sorted(memory.behind))
    return Batch(tuple(results), len(todo), behind)


def _before(memory: Memory, task: Task) -> Result | None:
    try:
        return memory.still_holds(task.name, key_of(task, store.read_bytes(task.source)))
    except KerfproofError:
        return None  # the worker says why it can't be read


def _remember(memory: Memory, result: Result, talk: Talk) -> None:
    try:
        memory.add(result)
    except KerfproofError as error:
        talk.says(str(error))


def _made(tasks: Sequence[Task], pool: Pool[Task, Result], talk: Talk) -> Iterator[Result]:
    """Yield the results as they come; on Ctrl-C end the processes and say what is left."""
    left = dict.fromkeys(range(len(tasks)))
    try:
        with _termination_as_interrupt():
            for event in pool.run(tasks):
                task = tasks[event.index]
                if isinstance(event, Begun):
                    talk.begins(task.name)
                    continue
                if isinstance(event, Lost) and not event.last:
                    talk.says(f"{shown(task.name)}: {event.reason}; it is tried once more, alone")
                    continue
                result = event.outcome if isinstance(event, Done) else failed(task, f"{event.reason}, twice")
                del left[event.index]
                talk.ends(result)
                yield result
    except KeyboardInterrupt:
        pool.close()
        raise Stopped(len(tasks) - len(left), tuple(tasks[k].name for k in left)) from None


@contextlib.contextmanager
def _termination_as_interrupt() -> Iterator[None]:
    """Take a polite request to end (SIGTERM) like Ctrl-C."""

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    try:
        before = signal.signal(signal.SIGTERM, interrupt)
    except ValueError:  # not in the main thread
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
