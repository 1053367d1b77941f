"""Work beside the job's own: a dry run written, a sheet, a test piece. Off the window's thread, the newest first."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Slot

from kerfproof.errors import Cancelled, KerfproofError
from kerfproof_app.window.widgets.off_thread import OneThread, ThreadWork, Work


class BackgroundWork(OneThread):
    """Does one thing at a time; what is asked for later stops what runs."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._then: Callable[[Any], None]
        self._failed: Callable[[KerfproofError], None]

    def do(self, work: Work, then: Callable[[Any], None], failed: Callable[[KerfproofError], None]) -> None:
        """Run `work` on the thread; its result goes to `then`, why it can't be done to `failed`, here."""
        self.cancel()
        if self._closed:
            return
        self._then, self._failed = then, failed
        self._begin(ThreadWork(work, self._signals))

    @Slot(object, object, object)
    def _done(self, work: ThreadWork, result: Any, error: KerfproofError | None) -> None:
        if work is not self._running or self._closed:
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
