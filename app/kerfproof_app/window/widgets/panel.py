"""What the panels beside the plate view have in common: they listen to the session as long as they live."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change


class Panel(QWidget):
    """A widget that is told of every change of the session, and shows anew what `follows` from it."""

    follows: tuple[Change, ...] = ()
    """The changes after which it is refreshed."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.destroyed.connect(session.listen(self.told))

    def told(self, change: Change) -> None:
        """Take note of a change."""
        if change in self.follows:
            self.refresh()

    def refresh(self) -> None:
        """Show what the session has now."""
        raise NotImplementedError
