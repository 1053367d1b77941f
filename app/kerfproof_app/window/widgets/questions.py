"""Questions and words that stand in the window itself, above the work, and never lock it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QPushButton, QWidget

from kerfproof.sentence import Phrase, said
from kerfproof_app.window.widgets.page_parts import GLOVE, TextLabel, clear, push_button, row_layout, tool_button
from kerfproof_app.window.widgets.typed_fields import dress_anew

Answer = tuple[str, Callable[[], None]]


@dataclass(frozen=True)
class _Asked:
    text: Phrase
    answers: Sequence[Answer]
    weight: str
    over: Callable[[], bool]
    stays: bool


class QuestionBar(QFrame):
    """One sentence with its answers as buttons; the newest is shown, older ones come back when it is answered.

    The work below goes on. Escape in the bar, or its cross, answers nothing.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("question")
        self.setAccessibleName(self.tr("Question"))
        self._asked: list[_Asked] = []
        self._inches = False
        self.text = TextLabel()
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.buttons = row_layout(spacing=8)
        self.cross = tool_button("✕", self.drop, self.tr("Close this message"))
        self.cross.setMinimumSize(GLOVE, GLOVE)
        row_layout((self.text, 1), self.buttons, self.cross, parent=self, margins=(14, 7, 8, 7))
        self.setVisible(False)

    @property
    def asks(self) -> str:
        """The sentence that stands there, empty for none."""
        return said(self._asked[-1].text, self._inches) if self._asked else ""

    def ask(
        self,
        text: Phrase,
        answers: Sequence[Answer] = (),
        *,
        weight: str = "",
        over: Callable[[], bool] = lambda: False,
        stays: bool = False,
    ) -> None:
        """Show a sentence; each answer closes it and does its work. `weight` is empty, ``warning`` or ``error``.

        It goes by itself once it is `over`, for instance when the job it was said of is another. One
        that `stays` is no matter of the work that is open, and goes only when it is answered.
        """
        self._asked = [a for a in self._asked if a.text != text]
        self._asked.append(_Asked(text, answers, weight, over, stays))
        self._show()

    def holds(self, text: Phrase) -> bool:
        """Return whether a sentence stands there, or waits below another."""
        return any(asked.text == text for asked in self._asked)

    def drop_over(self) -> None:
        """Close what is over."""
        left = [asked for asked in self._asked if not asked.over()]
        if left != self._asked:
            self._asked = left
            self._show()

    def drop(self) -> None:
        """Close what stands there."""
        if self._asked:
            self._asked.pop()
        self._show()

    def drop_all(self) -> None:
        """Close everything but what stays until it is answered."""
        self._asked = [asked for asked in self._asked if asked.stays]
        self._show()

    def show_inches(self, inches: bool) -> None:
        """Tell lengths in inches or millimetres."""
        self._inches = inches
        self.text.setText(self.asks)

    def button(self, text: str) -> QPushButton | None:
        """Return the button of an answer."""
        items = filter(None, map(self.buttons.itemAt, range(self.buttons.count())))
        widgets = [item.widget() for item in items]
        return next((w for w in widgets if isinstance(w, QPushButton) and w.text() == text), None)

    def _show(self) -> None:
        clear(self.buttons)
        if not self._asked:
            self.setVisible(False)
            return
        asked = self._asked[-1]
        self.text.setText(said(asked.text, self._inches))
        self.setProperty("weight", asked.weight)
        for label, act in asked.answers:
            self.buttons.addWidget(push_button(label, partial(self._answer, act), height=GLOVE))
        for widget in (self, self.text):
            dress_anew(widget)
        self.setVisible(True)

    def _answer(self, act: Callable[[], None], _checked: bool = False) -> None:
        self.drop()
        act()
