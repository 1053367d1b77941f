"""The session's words as Qt signals on the window's thread."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from kerfproof_app.work.session import Session


class Bridge(QObject):
    """One signal for each word that the session tells."""

    job = Signal()
    outcome = Signal()
    state = Signal()
    selection = Signal()
    moment = Signal()
    question = Signal()
    notice = Signal()
    units = Signal()

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._stop = session.listen(self._told)

    def _told(self, word: str) -> None:
        signal = getattr(self, word, None)
        if signal is not None:
            signal.emit()

    def close(self) -> None:
        """Hear nothing more."""
        self._stop()
