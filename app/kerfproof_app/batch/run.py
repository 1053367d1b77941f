"""The batch: from a folder to results in the order of the drawings' names."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.done_before import RunMemory, open_out, sweep
from kerfproof_app.batch.folder import Tree, look, shown
from kerfproof_app.batch.lock import locked
from kerfproof_app.batch.one_drawing import Task, failed, key_of, kin_of, left_over, like, make
from kerfproof_app.batch.pool import Begun, Done, Lost, Pool
from kerfproof_app.batch.result import Result
from kerfproof_app.batch.tasks import BatchOrder, Resolve, tasks_of
from kerfproof_app.shop import store


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
    """All results by name, how many of them were made now, and programs that belong to no drawing any more.

    `skipped` are the drawings that a folder's settings leave out: they have no result.
    """

    results: tuple[Result, ...]
    made: int
    behind: tuple[str, ...]
    skipped: tuple[str, ...] = ()


class Stopped(Exception):
    """The person stopped the run. `batch` is how all drawings stand, `left` are those that were not done."""

    def __init__(self, batch: Batch, left: tuple[str, ...]) -> None:
        self.batch, self.left = batch, left
        super().__init__(f"{batch.made} done, {len(left)} left")


def run(order: BatchOrder, resolve: Resolve, talk: Talk, report: Callable[[Batch], None] = lambda batch: None) -> Batch:
    """Cut every drawing of a folder once, `report` it while the output folder is still ours, and return it.

    Raises
    ------
    KerfproofError
        If there is no drawing, nothing can be written, or another batch is writing there.
    Stopped
        If the person stopped it; what is written is whole, and the next run does the rest.
    """
    tree = look(order.folder, order.out)
    if not tree.sources:
        raise nothing_there(order.folder, tree)
    open_out(order.out)
    with locked(order.out):
        pool = Pool(make, order.processes, order.limit_s)
        try:
            batch = one_round(order, resolve, talk, tree, pool)
        except Stopped as stopped:
            report(stopped.batch)
            raise
        finally:
            pool.close()
        report(batch)
        return batch


def nothing_there(folder: Path, tree: Tree) -> KerfproofError:
    """Return the refusal of a folder without drawings."""
    empty = not any(folder.iterdir())
    passed = f"; {'; '.join(tree.passed)}" if tree.passed else ""
    what = "the folder is empty" if empty else f"there is no drawing (*.dxf) in the folder or below{passed}"
    return KerfproofError(shown(what), where=shown(str(folder)), advice="name a folder with drawings")


def one_round(
    order: BatchOrder,
    resolve: Resolve,
    talk: Talk,
    tree: Tree,
    pool: Pool[Task, Result],
    waiting: frozenset[str] = frozenset(),
) -> Batch:
    """Cut what has to be cut of a tree, remember it, and return all results.

    Drawings that are `waiting` are not of the tree yet: they stay as they were remembered.
    """
    memory = RunMemory(order.out)
    for passed in tree.passed:
        talk.says(shown(passed))
    tasks, results, skipped = tasks_of(order, tree, resolve, talk.says)
    sweep(order.out, [task.program for task in tasks])
    todo: list[Task] = []
    kin: list[str] = []
    for task in tasks:
        same = _kin(task)
        before = None if order.again or not same else memory.still_holds(task.name, key_of(task, same))
        if before is None:
            todo.append(task)
            kin.append(same)
        else:
            results.append(before)
    talk.total(len(todo), len(tasks) - len(todo))
    told: set[str] = set()
    waited_for = [memory.results[name] for name in sorted(waiting) if name in memory.results]
    try:
        with _termination_as_interrupt():
            for result in _made(todo, kin, pool, talk):
                results.append(result)
                _remember(memory, result, talk, told)
    except KeyboardInterrupt:
        pool.close()
        raise _stopped(todo, [*results, *waited_for], memory, skipped) from None
    results += waited_for
    results.sort(key=lambda r: r.name)
    try:
        behind = memory.finish(results)
    except KerfproofError as error:
        talk.says(str(error))
        behind = tuple(sorted(memory.behind))
    return Batch(tuple(results), len(todo), behind, skipped)


def _kin(task: Task) -> str:
    try:
        return kin_of(task, store.read_bytes(task.source))
    except KerfproofError:
        return ""  # the worker says why it can't be read


def _remember(memory: RunMemory, result: Result, talk: Talk, told: set[str]) -> None:
    """Note a result; what is in the way is told once."""
    try:
        memory.add(result)
    except KerfproofError as error:
        if str(error) not in told:
            talk.says(str(error))
        told.add(str(error))


def _made(tasks: Sequence[Task], kin: Sequence[str], pool: Pool[Task, Result], talk: Talk) -> Iterator[Result]:
    """Yield the results as they come; what lies in several folders and is cut alike is planned once (`kin`)."""
    first: dict[str, Task] = {}
    likes: dict[str, list[tuple[Task, str]]] = {}
    for task, same in zip(tasks, kin, strict=True):
        if same and first.setdefault(same, task) is not task:
            likes.setdefault(first[same].name, []).append((task, same))
    later = {task.name for group in likes.values() for task, _ in group}
    alone: list[Task] = []
    for result in _worked([task for task in tasks if task.name not in later], pool, talk):
        yield result
        for task, same in likes.get(result.name, ()):
            copied = like(task, same, result, first[same])
            if copied is None:
                alone.append(task)
            else:
                talk.ends(copied)
                yield copied
    yield from _worked(alone, pool, talk)


def _worked(tasks: Sequence[Task], pool: Pool[Task, Result], talk: Talk) -> Iterator[Result]:
    for event in pool.run(tasks):
        task = tasks[event.index]
        if isinstance(event, Begun):
            talk.begins(task.name)
            continue
        if isinstance(event, Lost) and not event.last:
            talk.says(f"{shown(task.name)}: {event.reason}; it is tried once more, alone")
            continue
        result = event.outcome if isinstance(event, Done) else failed(task, f"{event.reason}, twice")
        talk.ends(result)
        yield result


def _stopped(tasks: Sequence[Task], results: Sequence[Result], memory: RunMemory, skipped: tuple[str, ...]) -> Stopped:
    """Return how all stands where the person stopped: what is not done is left, and its older program is told."""
    done = {result.name for result in results}
    left = [task for task in tasks if task.name not in done]
    rows = sorted((*results, *(left_over(task, memory.has_program(task.name)) for task in left)), key=lambda r: r.name)
    batch = Batch(tuple(rows), len(tasks) - len(left), memory.now_behind(rows), skipped)
    return Stopped(batch, tuple(task.name for task in left))


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
