"""What the editors of machines and of charts share: the list of files, the buttons, the state, the broken text."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QFontDatabase, QTextCursor
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QStackedWidget, QTextEdit, QWidget

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import defaults, store
from kerfproof_app.window.shop.shop_document import CHARTS, MACHINES, ShopDocument, ShopKind, free_name
from kerfproof_app.window.widgets.lists import KeyList
from kerfproof_app.window.widgets.page_parts import TextLabel, column_layout, line_label, push_button, row_layout
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change


class BrokenText(QWidget):
    """The text with the sentence on what breaks it; every key typed is tried."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.said = TextLabel(look="said")
        self.text = QPlainTextEdit()
        self.text.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.text.setAccessibleName(self.tr("Text of the file"))
        self.text.textChanged.connect(self._typed)
        column_layout(self.said, (self.text, 1), parent=self)
        self._document: ShopDocument | None = None

    def show_document(self, document: ShopDocument) -> None:
        """Show a document; a new one opens at its broken line."""
        new = document is not self._document
        self._document = document
        if self.text.toPlainText() != document.text:
            with QSignalBlocker(self.text):
                self.text.setPlainText(document.text)
        error = document.broken
        sentence = "" if error is None else f"{error.what}{f' ({error.advice})' if error.advice else ''}"
        self.said.setText(f"{sentence[:1].upper()}{sentence[1:]}")
        self._mark(document.broken_line, jump=new)

    def _mark(self, line: int | None, jump: bool) -> None:
        marks = []
        block = self.text.document().findBlockByNumber((line or self.text.blockCount()) - 1)
        if block.isValid():
            mark = QTextEdit.ExtraSelection()
            mark.cursor = QTextCursor(block)
            mark.cursor.select(QTextCursor.SelectionType.LineUnderCursor)
            mark.format.setBackground(tones_of(self).present)
            marks.append(mark)
            if jump:
                self.text.setTextCursor(QTextCursor(block))
                self.text.centerCursor()
        self.text.setExtraSelections(marks)

    def _typed(self) -> None:
        if self._document is not None and not self._document.read_only:
            self._document.set_text(self.text.toPlainText())


class ShopEditor(Panel):
    """List at the left, form at the right. `saved` tells the name of a file that was written."""

    saved = Signal(str)

    def __init__(self, session: Session, kind: ShopKind, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.kind = kind
        self.document: ShopDocument | None = None
        self._documents: dict[str, ShopDocument] = {}
        self.files = KeyList(self.tr("Files"))
        self.files.setMinimumWidth(150)
        self.files.picked.connect(self.show_file)
        self.title = line_label(look="heading")
        self.state = TextLabel(look="faint")
        self.said = TextLabel(look="said")
        self.name = QLineEdit()
        self.name.setAccessibleName(self.tr("Name of the copy"))
        self.copy = push_button(self.tr("Copy to mine"), self.copy_to_mine)
        self.save = push_button(self.tr("Save"), self.save_file)
        self.undo = push_button(self.tr("Undo"), self.take_back)
        self.redo = push_button(self.tr("Redo"), self.do_again)
        self.use = push_button(self.tr("Use for this job"), self.use_for_job)
        self.default = push_button(self.tr("Make it my default"), self.make_default)
        self.broken = BrokenText()
        self.pages = QStackedWidget()
        self.left = column_layout((self.files, 2), margins=(8, 8, 0, 8))
        head = row_layout((self.title, 1), self.undo, self.redo, self.save)
        below = row_layout((self.name, 1), self.copy, 1, self.use, self.default)
        right = column_layout(head, self.state, self.said, (self.pages, 1), below, margins=(8, 8, 8, 8))
        row_layout((self.left, 1), (right, 4), parent=self, margins=(0, 0, 0, 0))

    def begin(self, form: QWidget) -> None:
        """Show the file that the job uses in the form that the editor has built."""
        self._form = form
        self.pages.addWidget(form)
        self.pages.addWidget(self.broken)
        self.list_files(self.used_by_job())

    # --- files ------------------------------------------------------------------------------------------------

    def told(self, change: Change) -> None:
        """Follow the job's choice of file."""
        if change is Change.JOB:
            self._show_state()

    def list_files(self, choose: str = "") -> None:
        """List the files there are, and choose one."""
        files = store.shop_files(self.kind.folder)
        names = [file.name for file in files]
        with QSignalBlocker(self.files):
            self.files.clear()
            for file in files:
                mine = "" if file.origin == "built-in" else f"  ({self.tr('mine')})"
                self.files.add(file.name, file.name + mine, file.where)
        if names:
            self.show_file(choose if choose in names else names[0])

    def show_file(self, name: str) -> None:
        """Show a file by name or path; what was changed in others and not saved stays with them."""
        document = self._documents.get(name)
        if document is None or not document.changed:  # the file may have been changed by hand meanwhile
            try:
                file = store.shop_file(self.kind.folder, name)
            except KerfproofError as error:
                self.said.setText(str(error))
                return
            if document is None or document.text != file.text:
                document = ShopDocument(self.kind, file)
        if self._documents.get(name) is not document:
            self._documents[name] = document
            document.listen(lambda: self._changed(document))
        if document is not self.document:
            self.document = document
            self.said.clear()
            self.name.setText(free_name(self.kind.folder, document.file.name))
        self.files.mark(name)
        self.refresh()
        if not document.good and document.broken is None:
            self.show_field(next(iter(document.mistakes)))

    def _changed(self, document: ShopDocument) -> None:
        if document is self.document:
            self.refresh()

    @property
    def unsaved(self) -> list[str]:
        """The names of files changed and not saved."""
        return [name for name, document in self._documents.items() if document.changed]

    # --- what the editors add ---------------------------------------------------------------------------------

    def show_form(self, document: ShopDocument) -> None:
        """Show the document in the form."""
        raise NotImplementedError

    def show_field(self, key: str) -> None:
        """Bring a field to sight and put the cursor into it."""
        raise NotImplementedError

    # --- state and buttons ------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the document as it is now."""
        document = self.document
        if document is None:
            return
        if document.broken is not None:
            self.broken.show_document(document)
            self.pages.setCurrentWidget(self.broken)
        else:
            self.show_form(document)
            self.pages.setCurrentWidget(self._form)
        self._show_state()

    def _show_state(self) -> None:
        document = self.document
        if document is None:
            return
        title = document.get(("title",)) or ""
        self.title.setText(f"{document.file.name}: {title}" if title else document.file.name)
        self.state.setText(self._state(document))
        own = not document.read_only
        for button in (self.save, self.undo, self.redo):
            button.setVisible(own)
        self.save.setEnabled(document.changed and document.good)
        self.undo.setEnabled(document.can_undo)
        self.redo.setEnabled(document.can_redo)
        self.use.setEnabled(document.good and self.session.job is not None and self.used_by_job() != document.file.name)
        self.default.setEnabled(document.good and not document.changed and document.file.origin != "file")

    def _state(self, document: ShopDocument) -> str:
        if document.read_only:
            return self.tr("Built-in, so it stays as it is. Copy it to mine to change it.")
        if document.broken is not None:
            return self.tr("This file can't be read. Mend the marked line, then the fields come back.")
        if len(document.mistakes) == 1:
            return self.tr("One place to mend before it can be saved.")
        if document.mistakes:
            return self.tr("{0} places to mend before it can be saved.").format(len(document.mistakes))
        if document.changed:
            return self.tr("Changed, not saved yet.")
        return self.tr("Saved in {0}").format(document.file.where)

    def used_by_job(self) -> str:
        """Return the name of the file that the job uses, empty without a job."""
        return str(getattr(self.session.job, self.kind.word, ""))

    def use_for_job(self) -> None:
        """Make the job use this file."""
        if self.document is not None:
            use_in_job(self.session, self.kind, self.document.file.name)

    def copy_to_mine(self) -> None:
        """Copy the file shown to an own one under the name given, and show that."""
        if self.document is None:
            return
        try:
            copy = self.document.copied(self.name.text().strip())
        except KerfproofError as error:
            self.said.setText(str(error))
            self.name.setFocus()
            return
        self.list_files(copy.file.name)
        self.saved.emit(copy.file.name)

    def save_file(self) -> None:
        """Write the file shown; a job that uses it is checked anew."""
        if self.document is None:
            return
        with self.said.refusals():
            self.document.save()
            self.said.clear()
            self._show_state()
            if self.used_by_job() == self.document.file.name:
                self.session.plan_again()
            self.saved.emit(self.document.file.name)

    def take_back(self) -> None:
        """Take the last change of the file shown back."""
        if self.document is not None:
            self.document.undo()

    def do_again(self) -> None:
        """Do the change last taken back again."""
        if self.document is not None:
            self.document.redo()

    def make_default(self) -> None:
        """Make new jobs use this file."""
        if self.document is None:
            return
        with self.said.refusals():
            defaults.set_settings(**{self.kind.word: self.document.file.name})
            self.state.setText(self.tr("New jobs use {0} from now on.").format(self.document.file.name))


def use_in_job(session: Session, kind: ShopKind, name: str) -> None:
    """Make the job use a machine or chart, as one step that can be undone; without a job nothing is done."""
    words = {MACHINES: tr("machine {name}"), CHARTS: tr("chart {name}")}
    session.change(words[kind].format(name=name), **{kind.word: name})
