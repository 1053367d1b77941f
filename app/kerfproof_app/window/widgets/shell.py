"""What pages and commands know of the window they stand in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtWidgets import QWidget

from kerfproof.sentence import Phrase
from kerfproof_app.window.widgets.questions import Answer, QuestionBar
from kerfproof_app.work.session import Session


class Shell(Protocol):
    """A window: what is open in it, its questions, and the page it shows."""

    session: Session
    question: QuestionBar
    dark: bool

    @property
    def widget(self) -> QWidget:
        """What dialogs stand over."""
        ...

    def tell(self, text: Phrase, answers: Sequence[Answer] = (), *, weight: str = "") -> None:
        """Tell or ask something of the job as it is now; it goes when the job is another."""
        ...

    def tell_briefly(self, text: str) -> None:
        """Tell something in the line below for a while."""
        ...

    def show_page(self, page: str) -> None:
        """Show the page of one of the three questions."""
        ...
