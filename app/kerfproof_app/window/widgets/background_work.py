"""Work beside the job's own: a dry run written, a sheet, a test piece. Off the window's thread, the newest first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QThreadPool, Signal, Slot

from kerfproof.errors import Cancelled, KerfproofError
from kerfproof_app.window.widgets.off_thread import ThreadSignals, ThreadWork, Work


class BackgroundWork(QObject):
    """Does one thing at a time; what is asked for later stops what runs. `progress` tells stage and share."""

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
        self._then: Callable[[Any], None]
        self._failed: Callable[[KerfproofError], None]
        self._closed = False

    @property
    def is_busy(self) -> bool:
        """Whether something runs."""
        return self._running is not None

    def do(self, work: Work, then: Callable[[Any], None], failed: Callable[[KerfproofError], None]) -> None:
        """Run `work` on the thread; its result goes to `then`, why it can't be done to `failed`, here."""
        self.cancel()
        if self._closed:
            return
        self._running, self._then, self._failed = ThreadWork(work, self._signals), then, failed
        self._pool.start(self._running)

    @Slot(object, str, float)
    def _progress(self, task: ThreadWork, stage: str, share: float) -> None:
        if task is self._running:
            self.progress.emit(stage, share)

    @Slot(object, object, object)
    def _done(self, task: ThreadWork, result: Any, error: KerfproofError | None) -> None:
        if task is not self._running or self._closed:
            return
        self._running = None
        self.idle.emit()
        if error is None:
            self._then(result)
        elif not isinstance(error, Cancelled):
            self._failed(error)

    def cancel(self) -> None:
        """Stop what runs."""
        if self._running is not None:
            self._running.stop.set()
            self._running = None
            self.idle.emit()

    def close(self) -> None:
        """Stop what runs and wait for it."""
        self._closed = True
        self.cancel()
        self._pool.waitForDone()
