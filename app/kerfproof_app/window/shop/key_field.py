"""One key of a machine or chart as a field: its editor by its kind, what it means, its unit, and its mistake."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic.fields import FieldInfo
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QPlainTextEdit, QSizePolicy, QWidget

from kerfproof import units
from kerfproof.errors import KerfproofError
from kerfproof.shop.file_model import path
from kerfproof.shop.spelling import LengthOr, Quantity, Words, spelling_of
from kerfproof_app.window.shop.shop_document import Keys
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, line_label, row_layout
from kerfproof_app.window.widgets.scroll_safe_inputs import ChoiceBox
from kerfproof_app.window.widgets.typed_fields import bare_unit, dress_anew, mark_wrong

FIELD_WIDTH = 220


class KeyField(QWidget):
    """One key: name, editor, unit, explanation, and a line for what is wrong. `edited` tells its new raw value."""

    edited = Signal(object)

    def __init__(
        self, keys: Keys, info: FieldInfo, choices: Mapping[str, str] | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.keys, self.info = keys, info
        self.spelling = spelling_of(info)
        self._showing = False
        self._unit = ""
        self.name = line_label(str(keys[-1]).replace("_", " "), look="heading")
        self.unit = line_label(look="faint")
        self.text = TextLabel(info.description or "", look="faint")
        self.said = TextLabel(look="said")
        self.said.hide()
        self.editor = self._make(choices)
        self.editor.setAccessibleName(path(keys).replace("_", " "))
        self.editor.setAccessibleDescription(info.description or "")
        self.name.setBuddy(self.editor)
        free = self._is_free_text()
        row = row_layout((self.editor, int(free)), (self.unit, int(not free)), spacing=10)
        column_layout(self.name, row, self.said, self.text, parent=self, margins=(0, 6, 0, 6), spacing=2)

    # --- the editor -------------------------------------------------------------------------------------------

    def _make(self, choices: Mapping[str, str] | None) -> QWidget:
        if choices is not None:
            return self._box({value: label for value, label in choices.items()})
        if isinstance(self.spelling, Words):
            return self._box({word: word for word in self.spelling.schema()["enum"]})
        if self.info.annotation is bool or self._is("bool | None"):
            return self._switch() if not self._is("None") else self._box({True: self.tr("yes"), False: self.tr("no")})
        if self._is("tuple") or self._is_table() or self.keys[-1] == "note":
            return self._lines()
        return self._line()

    def _is_table(self) -> bool:
        return self.spelling is not None and self.spelling.schema().get("type") == "object"

    def _is_free_text(self) -> bool:
        return self._is("tuple") or self._is_table() or (self._is("str") and self.spelling is None)

    def _is(self, word: str) -> bool:
        return word in str(self.info.annotation)

    def _box(self, choices: Mapping[Any, str]) -> QComboBox:
        box = ChoiceBox()
        box.setMinimumWidth(FIELD_WIDTH)
        if not self.info.is_required() and self.info.default is None:
            box.addItem(self.tr("as the control has it"), None)
        for value, label in choices.items():
            box.addItem(label, value)
        box.currentIndexChanged.connect(lambda _index: self._tell(box.currentData()))
        return box

    def _switch(self) -> QCheckBox:
        switch = QCheckBox(self.tr("yes"))
        switch.toggled.connect(self._tell)
        return switch

    def _lines(self) -> QPlainTextEdit:
        lines = QPlainTextEdit()
        lines.setObjectName("lines")
        lines.setFixedHeight(4 * self.fontMetrics().lineSpacing() + 12)
        lines.setTabChangesFocus(True)
        lines.textChanged.connect(lambda: self._tell(self._of_lines(lines.toPlainText())))
        return lines

    def _of_lines(self, text: str) -> Any:
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        if self._is_table():
            pairs = (line.partition("=") for line in lines)
            return {key.strip(): value.strip().strip('"') for key, _, value in pairs} or None
        return lines if self._is("tuple") else text

    def _to_lines(self, value: Any) -> str:
        if isinstance(value, dict):
            return "\n".join(f"{key} = {text}" for key, text in value.items())
        return "\n".join(map(str, value)) if isinstance(value, list) else str(value or "")

    def _line(self) -> QLineEdit:
        line = QLineEdit()
        line.setMinimumWidth(FIELD_WIDTH)
        if not self._is_free_text():
            line.setMaximumWidth(FIELD_WIDTH)
        else:
            line.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        line.setPlaceholderText(self._without())
        line.textEdited.connect(self._typed)
        line.editingFinished.connect(self._finish)
        return line

    def _without(self) -> str:
        """Return what holds where the file says nothing."""
        if self.info.is_required() or self.info.default is None:
            return self.tr("for example {0}").format(self.info.examples[0]) if self.info.examples else ""
        default = self.info.default
        text = self.spelling.write(default) if self.spelling else default
        return self.tr("without it: {0}").format(text) if text not in ("", (), {}) else ""

    # --- values -----------------------------------------------------------------------------------------------

    def show_value(self, value: Any, *, read_only: bool = False) -> None:
        """Show what the file holds."""
        self._showing = True
        editor = self.editor
        if isinstance(editor, QComboBox):
            at = editor.findData(value if value is not None or editor.itemData(0) is None else self._default())
            if at < 0 and value is not None:
                editor.addItem(str(value), value)
                at = editor.count() - 1
            editor.setCurrentIndex(at)
            editor.setEnabled(not read_only)
        elif isinstance(editor, QCheckBox):
            editor.setChecked(bool(self.info.default if value is None else value))
            editor.setEnabled(not read_only)
        elif isinstance(editor, QPlainTextEdit):
            text = self._to_lines(value)
            if not editor.hasFocus() and editor.toPlainText() != text:
                editor.setPlainText(text)
            editor.setPlaceholderText(self.tr("nothing") if read_only else "")
            self._lock(editor, read_only)
        elif isinstance(editor, QLineEdit):
            self._remember_unit(value)
            if not (editor.hasFocus() and self._read(editor.text()) == value):
                editor.setText("" if value is None else str(value))
            self._lock(editor, read_only)
        self._showing = False
        self._show_unit()

    @staticmethod
    def _lock(editor: QLineEdit | QPlainTextEdit, read_only: bool) -> None:
        if editor.isReadOnly() != read_only:
            editor.setReadOnly(read_only)
            dress_anew(editor)

    def _default(self) -> Any:
        default = self.info.default
        return self.spelling.write(default) if self.spelling and not self.info.is_required() else default

    def _remember_unit(self, value: Any) -> None:
        kind = self._kind()
        if kind is not None and isinstance(value, str):
            self._unit = units.unit_of(value, kind) or self._unit

    def use_unit_system(self, inches: bool) -> None:
        """Take bare numbers in inches or in millimetres where the field has no unit of its own yet."""
        kind = self._kind()
        if kind is not None and not self._unit:
            self._unit = bare_unit(kind, inches)

    def _kind(self) -> units.Kind | None:
        if isinstance(self.spelling, Quantity):
            return self.spelling.kind
        return units.LENGTH if isinstance(self.spelling, LengthOr) else None

    def _read(self, text: str) -> Any:
        """Return what goes into the file for a typed text: numbers as numbers, a bare length with its unit."""
        text = text.strip()
        if not text:
            return "" if self.info.default == "" else None
        kind = self._kind()
        if kind is not None:
            return _with_unit(text, kind, self._unit or kind.unit)
        if not self._is("str"):
            return _number(text)
        return text

    def _typed(self, text: str) -> None:
        self._tell(self._read(text))

    def _finish(self) -> None:
        """Show the text as it stands in the file, with its unit."""
        if isinstance(self.editor, QLineEdit) and not self.editor.isReadOnly():
            value = self._read(self.editor.text())
            self.editor.setText("" if value is None else str(value))

    def _tell(self, value: Any) -> None:
        if not self._showing:
            self.edited.emit(value)
            self._show_unit()

    def _show_unit(self) -> None:
        """Show the quantity in the other unit as well."""
        kind = self._kind()
        if kind is None or not isinstance(self.editor, QLineEdit):
            return
        text = self._read(self.editor.text())
        self.unit.setText(f"{kind.name}, {' / '.join(kind.samples)}")
        try:
            value = units.parse(str(text), kind)
        except KerfproofError:
            return
        inch = bare_unit(kind, inches=True)
        if inch == kind.unit:
            self.unit.setText(kind.unit if not str(text).endswith(kind.unit) else "")
            return
        own = units.unit_of(str(text), kind)
        other = kind.unit if own.startswith(("in", '"', "f", "thou")) else inch
        number = value / float(kind.units[other])
        self.unit.setText(f"= {number:.4g} {other}")

    # --- mistakes ---------------------------------------------------------------------------------------------

    def show_mistake(self, sentence: str) -> None:
        """Show what is wrong with the field, or nothing."""
        sentence = sentence.removeprefix(".".join(map(str, self.keys)) + ": ")
        self.said.say(f"{sentence[:1].upper()}{sentence[1:]}")
        if isinstance(self.editor, QLineEdit) and bool(self.editor.property("wrong")) != bool(sentence):
            mark_wrong(self.editor, bool(sentence))
        words = f"{self.info.description or ''} {self.said.text()}".strip()
        self.editor.setAccessibleDescription(words)


def _with_unit(text: str, kind: units.Kind, unit: str) -> str:
    """Return the text, with `unit` behind it if it is a bare number."""
    try:
        units.parse(text, kind)
    except KerfproofError:
        try:
            units.parse(text, kind, unit)
        except KerfproofError:
            return text
        return f"{text} {unit}"
    return text


def _number(text: str) -> int | float | str:
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
