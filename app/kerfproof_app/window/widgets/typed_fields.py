"""Fields that are typed into: what stands there is taken into the job, or says why not, or is put back."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractSpinBox, QLabel, QLineEdit, QWidget

from kerfproof.errors import KerfproofError
from kerfproof.units import Kind
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, row_layout


class LabeledEditor(QWidget):
    """A caption, an editor, and two quiet lines: what else would stand there, and what is wrong."""

    def __init__(self, caption: str, editor: QWidget, tip: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.editor = editor
        self.caption = QLabel(caption)
        self.caption.setBuddy(editor)
        self.caption.setMinimumWidth(118)
        self.caption.setWordWrap(True)
        editor.setAccessibleName(caption)
        if tip:
            editor.setToolTip(tip)
            editor.setAccessibleDescription(tip)
        self.hint = TextLabel(look="faint")
        self.hint.hide()
        self.said = TextLabel(look="said")
        self.said.hide()
        self.line = row_layout(self.caption, (editor, 1), spacing=6)
        below = column_layout(self.hint, self.said, margins=(124, 0, 0, 0), spacing=0)
        column_layout(self.line, below, parent=self, margins=(0, 2, 0, 2), spacing=1)

    def complain(self, text: str) -> None:
        """Say what is wrong at the field; empty takes it back."""
        self.said.say(text)
        mark_wrong(self.editor, bool(text))


class TypedField(LabeledEditor):
    """A value that is typed. `changed` tells it; what can't be read says why and stays to be mended.

    Escape puts back what was there.
    """

    changed = Signal(object)

    def __init__(self, caption: str, tip: str = "", parent: QWidget | None = None) -> None:
        self.edit = QLineEdit()
        super().__init__(caption, self.edit, tip, parent)
        self.value: Any = None
        self.edit.editingFinished.connect(self.commit)
        self.edit.installEventFilter(self)

    def read(self, text: str) -> Any:
        """Return the value of a text. Raises KerfproofError with what is wrong."""
        raise NotImplementedError

    def written(self, value: Any) -> str:
        """Return a value as it is shown."""
        raise NotImplementedError

    def put(self, value: Any) -> bool:
        """Show a value and return True, or leave a person who is typing alone."""
        self.value = value
        if self.edit.hasFocus() and self.edit.isModified():
            return False
        self.edit.setText(self.written(value))
        self.edit.setModified(False)
        self.complain("")
        return True

    def commit(self) -> None:
        """Take what is typed."""
        if not self.edit.isModified():
            return
        text = self.edit.text().strip()
        if text == self.written(self.value):  # what is shown may be rounded, the value is not
            self.restore()
            return
        try:
            value = self.read(text)
        except KerfproofError as error:
            self.complain(sentence_of(error))
            return
        self.edit.setModified(False)
        self.complain("")
        if value != self.value:
            self.changed.emit(value)
        else:
            self.edit.setText(self.written(value))

    @property
    def holds_wrong(self) -> bool:
        """Whether something else stands here than the job has, which was refused."""
        return bool(self.said.text())

    def restore(self) -> None:
        """Show again what was there before it was typed over."""
        if self.edit.isModified() or self.holds_wrong:
            self.edit.setText(self.written(self.value))
            self.edit.setModified(False)
            self.complain("")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take Escape while something is typed."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
            and (self.edit.isModified() or self.holds_wrong)
        ):
            self.restore()
            return True
        return super().eventFilter(watched, event)


def take_typed(page: QWidget) -> TypedField | None:
    """Take what is typed into the fields of a page, as Enter does; return the first that could not be read."""
    for spin in page.findChildren(QAbstractSpinBox):
        spin.interpretText()
    for field in page.findChildren(TypedField):
        field.commit()
    return wrong_field(page)


def wrong_field(page: QWidget) -> TypedField | None:
    """Return the first field of a page that holds what can't be read, None if there is none."""
    return next((field for field in page.findChildren(TypedField) if field.holds_wrong), None)


def restore_typed(page: QWidget) -> None:
    """Show again what the job has where a field holds something else."""
    for field in page.findChildren(TypedField):
        field.restore()


def sentence_of(error: KerfproofError, inches: bool = False) -> str:
    """Return what is wrong and what to do, without the place: it stands there."""
    return KerfproofError(error.problem, advice=error.remedy).told(inches)


def mark_wrong(editor: QWidget, wrong: bool) -> None:
    """Paint an editor as one that holds what can't be taken, or as any other."""
    editor.setProperty("wrong", wrong)
    dress_anew(editor)


def dress_anew(widget: QWidget) -> None:
    """Give a widget the style that its properties ask for now."""
    widget.style().unpolish(widget)
    widget.style().polish(widget)


def bare_unit(kind: Kind, inches: bool) -> str:
    """Return the unit of a bare number: the one that people read, where the kind is told in inches, too."""
    inch = next((sample for sample in kind.samples if sample.startswith("in")), "")
    return inch if inches and inch else kind.unit


def with_unit_behind(text: str, inches: bool) -> str:
    """Return sizes with the unit that people read behind the last if that is a bare number."""
    return text + (" in" if inches else " mm") if text[-1].isdigit() or text[-1] == "." else text
