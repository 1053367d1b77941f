"""What all work off the window's thread shares: it can be stopped, tells how far it is, and never dies unsaid."""

from __future__ import annotations

import threading
import time
from typing import Any

from PySide6.QtCore import QRunnable

from kerfproof.errors import Cancelled, KerfproofError

TELL_EVERY = 0.05
"""Progress is told at most so often (s)."""


class Stoppable(QRunnable):
    """Work on a pool's thread. `signals` has ``progress`` (this, stage, share)."""

    def __init__(self, signals: Any) -> None:
        super().__init__()
        self.setAutoDelete(False)
        self.signals = signals
        self.stop = threading.Event()
        self._told = 0.0

    def watch(self, stage: str, share: float) -> None:
        """Tell how far the work is; raise `Cancelled` once it is to stop."""
        if self.stop.is_set():
            raise Cancelled("stopped")
        now = time.monotonic()
        if now - self._told >= TELL_EVERY:
            self._told = now
            self.signals.progress.emit(self, stage, share)


def unforeseen(found: Exception) -> KerfproofError:
    """Return the sentence for an error that should not have happened."""
    return KerfproofError(
        f"this should not have happened ({type(found).__name__}: {found}); please report it with the files"
    )
