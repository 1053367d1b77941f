"""Worker processes that may die or hang: one process and one pipe for each slot, always started afresh (spawn).

Every task gets one result. A task whose process died or ran past the limit is tried once more at the end, alone.
"""

from __future__ import annotations

import _thread
import contextlib
import multiprocessing
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from typing import Any, Generic, TypeVar

from kerfproof.errors import KerfproofError
from kerfproof_app.shop.gc_tuning import collect_seldom

Task = TypeVar("Task")
Outcome = TypeVar("Outcome")
_READY = "ready"
_START_LIMIT_S = 120.0
_MOST_FALSE_STARTS = 3


@dataclass(frozen=True, slots=True)
class Begun:
    """Task `index` has been handed to a process."""

    index: int


@dataclass(frozen=True, slots=True)
class Lost:
    """The process of task `index` died or hung for `reason`; `last` if it is not tried again."""

    index: int
    reason: str
    last: bool


@dataclass(frozen=True, slots=True)
class Done(Generic[Outcome]):
    """What task `index` became."""

    index: int
    outcome: Outcome


@dataclass(eq=False)
class _Slot:
    process: SpawnProcess
    pipe: Connection
    since: float
    ready: bool = False
    task: int | None = None


@dataclass(eq=False)
class Pool(Generic[Task, Outcome]):
    """Processes that run `work`, which must be a function that a fresh process can import.

    `limit_s` is the longest that one task may take. Processes start when there is work and live until `close`.
    """

    work: Callable[[Task], Outcome]
    slots: int
    limit_s: float
    _running: list[_Slot] = field(default_factory=list)
    _false_starts: int = 0

    def run(self, tasks: Sequence[Task]) -> Iterator[Begun | Lost | Done[Outcome]]:
        """Yield what happens until every task is done or lost for good; in the order of completion.

        Raises
        ------
        KerfproofError
            If no process can be started at all.
        """
        alone: list[int] = []
        for event in self._work_off(tasks, deque(range(len(tasks))), self.slots):
            if isinstance(event, Lost):
                alone.append(event.index)
            yield event
        for index in sorted(alone):
            self.close()  # whatever else those processes hold, this task gets the whole machine
            for event in self._work_off(tasks, deque([index]), 1):
                yield Lost(event.index, event.reason, last=True) if isinstance(event, Lost) else event

    def close(self) -> None:
        """End all processes: at once where they wait, and what they are at otherwise is dropped whole."""
        for slot in self._running:
            slot.process.terminate()
        for slot in self._running:
            _end(slot)
        self._running.clear()

    def _work_off(self, tasks: Sequence[Task], queue: deque[int], most: int) -> Iterator[Begun | Lost | Done[Outcome]]:
        while queue or any(slot.task is not None for slot in self._running):
            while len(self._running) < min(most, len(queue) + self._busy()):
                self._running.append(self._start())
            for slot in self._running:
                if slot.ready and slot.task is None and queue:
                    yield from self._hand(slot, tasks, queue)
            for slot in self._heard():
                event = self._listen(slot)
                if event is not None:
                    yield event
            for slot in [s for s in self._running if s.task is not None or not s.ready]:
                lost = self._too_long(slot)
                if lost is not None:
                    yield lost

    def _busy(self) -> int:
        return sum(slot.task is not None for slot in self._running)

    def _hand(self, slot: _Slot, tasks: Sequence[Task], queue: deque[int]) -> Iterator[Begun]:
        index = queue.popleft()
        slot.task, slot.since = index, time.monotonic()
        with contextlib.suppress(OSError):  # a process that has just died is noticed when listening
            slot.pipe.send(tasks[index])
        yield Begun(index)

    def _heard(self) -> list[_Slot]:
        """Return the slots that said something or died, waiting for the first or half a second."""
        by_handle: dict[Any, _Slot] = {}
        for slot in self._running:
            by_handle[slot.pipe] = slot
            by_handle[slot.process.sentinel] = slot
        found = wait(list(by_handle), timeout=0.5 if by_handle else 0.0)
        return list(dict.fromkeys(by_handle[handle] for handle in found))

    def _listen(self, slot: _Slot) -> Lost | Done[Outcome] | None:
        try:
            if not slot.pipe.poll():  # it was the process that woke us
                return None if slot.process.is_alive() else self._died(slot)
            said = slot.pipe.recv()
        except (EOFError, OSError):
            return self._died(slot)
        self._false_starts = 0
        if said == _READY:
            slot.ready = True
            return None
        index, slot.task = slot.task, None
        assert index is not None
        return Done(index, said[0])

    def _died(self, slot: _Slot) -> Lost | None:
        slot.process.join(2.0)
        code = slot.process.exitcode
        self._drop(slot)
        if slot.task is None:
            self._false_starts += 0 if slot.ready else 1
            if self._false_starts > _MOST_FALSE_STARTS:
                raise KerfproofError("no worker process can be started", advice="try --processes 1, or cut one drawing")
            return None
        return Lost(slot.task, f"its process died ({_death(code)})", last=False)

    def _too_long(self, slot: _Slot) -> Lost | None:
        limit = self.limit_s if slot.ready else _START_LIMIT_S
        if time.monotonic() - slot.since <= limit:
            return None
        self._drop(slot)
        if slot.task is None:
            self._false_starts += 1
            return None
        return Lost(slot.task, f"it took longer than {limit:g} s", last=False)

    def _drop(self, slot: _Slot) -> None:
        slot.process.terminate()
        _end(slot)
        self._running.remove(slot)

    def _start(self) -> _Slot:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=_serve, args=(theirs, self.work), daemon=True)
        try:
            with _deaf():
                process.start()
        except OSError as error:
            raise KerfproofError(f"no process can be started: {(error.strerror or 'refused').lower()}") from None
        theirs.close()
        return _Slot(process, ours, time.monotonic())


def _end(slot: _Slot) -> None:
    slot.process.join(2.0)
    if slot.process.is_alive():
        slot.process.kill()
        slot.process.join(5.0)
    slot.pipe.close()


def _death(code: int | None) -> str:
    if code is None:
        return "no one knows why"
    if code >= 0:
        return f"exit code {code}"
    try:
        return f"signal {signal.Signals(-code).name}"
    except ValueError:
        return f"signal {-code}"


@contextlib.contextmanager
def _deaf() -> Iterator[None]:
    """Start processes deaf to Ctrl-C, which a terminal sends to all: who stops is decided here alone."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


# --- in the worker process ----------------------------------------------------------------------------


def _serve(pipe: Connection, work: Callable[[Any], Any]) -> None:
    """Work off what comes through the pipe until it closes or the parent is gone."""
    collect_seldom()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _leave)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    pipe.send(_READY)
    while True:
        try:
            task = pipe.recv()
        except (EOFError, OSError):
            return
        pipe.send((work(task),))


def _leave(*_: object) -> None:
    raise SystemExit(1)  # so that a file just being written is taken back


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is None:
        return
    wait([parent.sentinel])
    if hasattr(signal, "pthread_kill"):  # wakes the main thread even where it waits
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGTERM)
    else:
        _thread.interrupt_main(signal.SIGTERM)
    time.sleep(5.0)
    os._exit(1)
