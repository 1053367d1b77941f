"""What the panels beside the plate view have in common: they listen to the session as long as they live."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from kerfproof_app.session import Session


class Panel(QWidget):
    """A widget that is told of every change of the session, see `Session`."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.destroyed.connect(session.listen(self.told))

    def told(self, word: str) -> None:
        """Take note of a change."""
        raise NotImplementedError
