"""Fields of the side panels: a value with its unit, what the chart says instead, and what is wrong, at the field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QToolButton, QWidget

from kerfproof.errors import KerfproofError
from kerfproof.units import (
    ANGLE,
    CURRENT,
    FEED,
    LENGTH,
    TIME,
    Kind,
    format_feed,
    format_length,
    format_size,
    parse,
    parse_size,
)
from kerfproof_app.window.widgets.scroll_safe_inputs import ChoiceBox
from kerfproof_app.window.widgets.typed_fields import Row, TypedField, sentence_of


class QuantityField(TypedField):
    """A number with a unit. Takes any unit of its kind; a bare number has the unit shown. `changed` tells the value.

    `may_be_empty`: empty means "as the chart or the machine says", shown as the grey text in the field.
    """

    def __init__(
        self,
        caption: str,
        kind: Kind = LENGTH,
        *,
        tip: str = "",
        may_be_empty: bool = True,
        least: float | None = None,
        above: float | None = None,
        decimals: tuple[int, int] = (2, 4),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(caption, tip, parent)
        self.kind, self.may_be_empty, self.least, self.above = kind, may_be_empty, least, above
        self.decimals = decimals
        self.inches = False
        self.usual: float | None = None
        self.empty = ""
        """What an empty field shows where nothing usual is known."""
        self.back = QToolButton()
        self.back.setText("↺")
        self.back.setAutoRaise(True)
        self.usual_is(self.tr("the chart says {usual}"), self.tr("Back to what the chart says"))
        self.back.clicked.connect(self._reset)
        self.back.hide()
        self.line.addWidget(self.back)

    def usual_is(self, says: str, back: str) -> None:
        """Say where the usual value comes from: the words with ``{usual}`` in them, and those of the way back to it."""
        self.says = says
        self.back.setToolTip(back)
        self.back.setAccessibleName(f"{self.caption.text()}: {back}")

    def show_value(self, value: float | None, usual: float | None = None, inches: bool = False) -> None:
        """Show a value, with the usual one for comparison; does not disturb a person who is typing."""
        self.usual, self.inches = usual, inches
        if not self.put(value):
            return
        self.edit.setPlaceholderText(self.empty if usual is None else self.written(usual))
        differs = value is not None and usual is not None and abs(value - usual) > 1e-9
        self.show_hint(self.says.format(usual=self.written(usual)) if differs and usual else "")
        self.back.setVisible(differs and self.may_be_empty)

    def written(self, value: float | None) -> str:
        """Return a value as it is shown."""
        if value is None:
            return ""
        if self.kind is FEED:
            return format_feed(value, self.inches)
        if self.kind is LENGTH:
            shown = value / 25.4 if self.inches else value
            return format_length(value, self.inches, _decimals(shown, self.decimals[self.inches]))
        return f"{value:g} {self.kind.unit}"

    def read(self, text: str) -> float | None:
        """Return the value of a text. Raises KerfproofError with what is wrong."""
        if not text:
            if self.may_be_empty:
                return None
            raise KerfproofError("a value is needed here")
        bare = self.kind.unit
        if self.inches and self.kind in (LENGTH, FEED):
            bare = "in" if self.kind is LENGTH else "in/min"
        value = parse(text, self.kind, bare)
        if self.above is not None and value <= self.above:
            raise KerfproofError(f"must be more than {self.above:g}")
        if self.least is not None and value < self.least:
            raise KerfproofError(f"must be at least {self.least:g}")
        return value

    def _reset(self) -> None:
        self.edit.setModified(False)
        self.changed.emit(None)


class SizeField(TypedField):
    """Width and height with a unit (``1200x600 mm``), or empty."""

    inches = False

    def show_value(self, value: tuple[float, float] | None, usual: str = "", inches: bool = False) -> None:
        """Show a size; `usual` is the grey text of an empty field."""
        self.inches = inches
        if self.put(value):
            self.edit.setPlaceholderText(usual)

    def written(self, value: tuple[float, float] | None) -> str:
        """Return a size as it is shown."""
        return "" if value is None else format_size(*value, inches=self.inches).replace("x", " × ")

    def read(self, text: str) -> tuple[float, float] | None:
        """Return the size in a text, None for an empty one. Raises KerfproofError with what is wrong."""
        if not text:
            return None
        bare = (" in" if self.inches else " mm") if text[-1].isdigit() or text[-1] == "." else ""
        return parse_size(text.replace("×", "x") + bare)


class ChoiceField(Row):
    """One of several words. `changed` tells the value when a person chooses another."""

    changed = Signal(object)

    def __init__(
        self, caption: str, choices: Sequence[tuple[str, Any]] = (), tip: str = "", parent: QWidget | None = None
    ) -> None:
        self.box = ChoiceBox()
        self.box.setMinimumContentsLength(8)
        self.box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        super().__init__(caption, self.box, tip, parent)
        self.offer(choices)
        self.box.activated.connect(lambda _index: self.changed.emit(self.box.currentData()))

    def offer(self, choices: Sequence[tuple[str, Any]]) -> None:
        """Offer other choices; the chosen one stays if it is among them."""
        if [(self.box.itemText(k), self.box.itemData(k)) for k in range(self.box.count())] == list(choices):
            return
        now = self.box.currentData()
        self.box.clear()
        for text, value in choices:
            self.box.addItem(text, value)
        self.show_value(now)

    def show_value(self, value: Any) -> None:
        """Show a value; one that is not offered is added."""
        for k in range(self.box.count()):
            if self.box.itemData(k) == value:
                self.box.setCurrentIndex(k)
                return
        if value is not None:
            self.box.addItem(str(value), value)
            self.box.setCurrentIndex(self.box.count() - 1)


def guarded(row: Row, act: Callable[[], None], inches: bool = False) -> None:
    """Do something for a field; what it refuses is said at the field, in the unit shown."""
    try:
        act()
    except KerfproofError as error:
        row.complain(sentence_of(error, inches))
    else:
        row.complain("")


def _decimals(value: float, usual: int) -> int:
    """Return how many decimals say a value as it was typed; `usual` if no few do."""
    return next((n for n in range(usual, usual + 4) if abs(round(value, n) - value) < 1e-9), usual)


__all__ = [
    "ANGLE",
    "CURRENT",
    "FEED",
    "LENGTH",
    "TIME",
    "ChoiceField",
    "QuantityField",
    "Row",
    "SizeField",
    "TypedField",
    "guarded",
    "sentence_of",
]
