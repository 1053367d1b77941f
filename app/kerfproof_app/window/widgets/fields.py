"""Fields of the side panels: a value with its unit, what the chart says instead, and what is wrong, at the field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QWidget

from kerfproof.errors import KerfproofError
from kerfproof.units import FEED, LENGTH, Kind, format_feed, format_length, format_size, parse, parse_size
from kerfproof_app.window.widgets.page_parts import tool_button
from kerfproof_app.window.widgets.scroll_safe_inputs import ChoiceBox, CountBox
from kerfproof_app.window.widgets.typed_fields import (
    LabeledEditor,
    TypedField,
    bare_unit,
    sentence_of,
    with_unit_behind,
)


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
        self.back = tool_button("↺", self._reset, "")
        self.usual_is(self.tr("the chart says {usual}"), self.tr("Back to what the chart says"))
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
        self.hint.say(self.says.format(usual=self.written(usual)) if differs and usual else "")
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
        value = parse(text, self.kind, bare_unit(self.kind, self.inches))
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
        return parse_size(with_unit_behind(text.replace("×", "x"), self.inches))


class ChoiceField(LabeledEditor):
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

    def show_value(self, value: Any, usual: object = None, inches: bool = False) -> None:
        """Show a value; one that is not offered is added."""
        at = next((k for k in range(self.box.count()) if self.box.itemData(k) == value), None)
        if at is not None:
            self.box.setCurrentIndex(at)
        elif value is not None:
            self.box.addItem(str(value), value)
            self.box.setCurrentIndex(self.box.count() - 1)


class CountField(LabeledEditor):
    """A whole number. `changed` tells it."""

    changed = Signal(int)

    def __init__(
        self, caption: str, most: int, *, none: str = "", tip: str = "", parent: QWidget | None = None
    ) -> None:
        self.spin = CountBox()
        self.spin.setRange(0, most)
        self.spin.setKeyboardTracking(False)
        self.spin.setMinimumHeight(QLineEdit().sizeHint().height())
        if none:
            self.spin.setSpecialValueText(none)
        super().__init__(caption, self.spin, tip, parent)
        self.spin.valueChanged.connect(self.changed)

    def show_value(self, value: int, usual: object = None, inches: bool = False) -> None:
        """Show a number."""
        with QSignalBlocker(self.spin):
            self.spin.setValue(value)


class TickField(QCheckBox):
    """Yes or no. `changed` tells it when a person changes it."""

    changed = Signal(bool)

    def __init__(self, caption: str, parent: QWidget | None = None) -> None:
        super().__init__(caption, parent)
        self.toggled.connect(self.changed)

    def show_value(self, value: bool, usual: object = None, inches: bool = False) -> None:
        """Show whether it is so."""
        with QSignalBlocker(self):
            self.setChecked(value)


class TextField(TypedField):
    """A text that is read into a value: `read` raises KerfproofError, `written` returns the text of a value."""

    def __init__(
        self,
        caption: str,
        read: Callable[[str], Any],
        written: Callable[[Any], str] = str,
        *,
        tip: str = "",
        usual: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(caption, tip, parent)
        self.edit.setPlaceholderText(usual)
        self._read, self._written = read, written

    def read(self, text: str) -> Any:
        """Return the value of a text. Raises KerfproofError with what is wrong."""
        return self._read(text)

    def written(self, value: Any) -> str:
        """Return a value as it is shown."""
        return self._written(value)

    def show_value(self, value: Any, usual: object = None, inches: bool = False) -> None:
        """Show a value; does not disturb a person who is typing."""
        self.put(value)


SettingField = QuantityField | ChoiceField | CountField | TextField | TickField
"""A field that shows a value, and in some kinds what is usual and in which unit, and tells `changed`."""


def guarded(row: LabeledEditor, act: Callable[[], None], inches: bool = False) -> None:
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
