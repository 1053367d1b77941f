"""Work off the window's thread: it can be stopped, tells how far it is, and never dies unsaid."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

from kerfproof.errors import Cancelled, KerfproofError, Watch

TELL_EVERY = 0.05
"""Progress is told at most so often (s)."""
Work = Callable[[Watch], Any]


class ThreadSignals(QObject):
    """What work tells from its thread: itself, and how far it is (stage, share), or its result or error."""

    progress = Signal(object, str, float)
    done = Signal(object, object, object)


class ThreadWork(QRunnable):
    """Work on a pool's thread. It tells its end by `signals`; `afterwards` is done with its result after that."""

    def __init__(
        self, work: Work, signals: ThreadSignals, afterwards: Callable[[Any], object] = lambda _result: None
    ) -> None:
        super().__init__()
        self.setAutoDelete(False)
        self.work, self.signals, self.afterwards = work, signals, afterwards
        self.stop = threading.Event()
        self._told = 0.0

    def run(self) -> None:
        """Do the work; what should not have happened is an error like others."""
        result: Any = None
        error: KerfproofError | None = None
        try:
            result = self.work(self.watch)
        except KerfproofError as found:
            error = found
        except Exception as found:
            error = _unforeseen(found)
        self.signals.done.emit(self, result, error)
        if error is None:
            self.afterwards(result)

    def watch(self, stage: str, share: float) -> None:
        """Tell how far the work is; raise `Cancelled` once it is to stop."""
        if self.stop.is_set():
            raise Cancelled("stopped")
        now = time.monotonic()
        if now - self._told >= TELL_EVERY:
            self._told = now
            self.signals.progress.emit(self, stage, share)


class OneThread(QObject):
    """A thread for one thing at a time. `progress` tells stage and share of what runs, `idle` that nothing does."""

    progress = Signal(str, float)
    idle = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._signals = ThreadSignals()
        self._signals.progress.connect(self._progress)
        self._signals.done.connect(self._done)
        self._running: ThreadWork | None = None
        self._closed = False

    @property
    def is_busy(self) -> bool:
        """Whether something runs."""
        return self._running is not None

    def _begin(self, work: ThreadWork) -> None:
        self._running = work
        self._pool.start(work)

    @Slot(object, str, float)
    def _progress(self, work: ThreadWork, stage: str, share: float) -> None:
        if work is self._running and not work.stop.is_set():
            self.progress.emit(stage, share)

    @Slot(object, object, object)
    def _done(self, work: ThreadWork, result: Any, error: KerfproofError | None) -> None:
        """Take what has ended: its result, or why there is none."""
        raise NotImplementedError

    def cancel(self) -> None:
        """Stop what runs."""
        raise NotImplementedError

    def close(self) -> None:
        """Stop what runs and wait for it; nothing is started any more."""
        self._closed = True
        self.cancel()
        self._pool.waitForDone()


def _unforeseen(found: Exception) -> KerfproofError:
    """Return the sentence for an error that should not have happened."""
    return KerfproofError(
        f"this should not have happened ({type(found).__name__}: {found}); please report it with the files"
    )
