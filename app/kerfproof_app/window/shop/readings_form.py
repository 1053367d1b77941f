"""The readings of a test piece: a field for each that it asks for, what they come to, and where that is kept."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from kerfproof.coupon.piece import CouponResult
from kerfproof.coupon.readings import Asked
from kerfproof.errors import KerfproofError, Severity
from kerfproof.units import LENGTH, format_length
from kerfproof_app.shop import defaults, store
from kerfproof_app.shop.test_pieces import CutPiece, save, solved
from kerfproof_app.window.shop.shop_document import free_name
from kerfproof_app.window.widgets.fields import ChoiceField
from kerfproof_app.window.widgets.page_parts import TextLabel, clear, column_layout, page_of, push_button, row_layout
from kerfproof_app.window.widgets.typed_fields import LabeledEditor, sentence_of
from kerfproof_app.work.session import Session

Target = tuple[str, str]
"""An own file, and the built-in one that it is to be copied from first; empty if it is there."""


class ReadingsForm(QWidget):
    """Form, solution and saving. `saved` tells kind (``charts`` or ``machines``) and name of the file written."""

    saved = Signal(str, str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.piece: CutPiece | None = None
        self.result: CouponResult | None = None
        self.where = ""
        self.rows: dict[str, LabeledEditor] = {}
        self.form = column_layout(spacing=2)
        self.solve = push_button(self.tr("Work it out"), self.work_out)
        self.said = TextLabel(look="said")
        self.lines = TextLabel()
        self.told = TextLabel(look="faint")
        self.target = ChoiceField(self.tr("Keep it in"))
        self.keep = push_button(self.tr("Save"), self.save)
        self.below = page_of(row_layout((self.target, 1), self.keep, margins=(0, 0, 0, 0)))
        solve = row_layout(self.solve, 1)
        column_layout(self.form, solve, self.said, self.lines, self.told, self.below, parent=self, margins=(0, 0, 0, 0))
        self.show_piece(None, "")

    def show_piece(self, piece: CutPiece | None, where: str) -> None:
        """Ask for the readings of a piece; `where` is its program."""
        self.piece, self.where = piece, where
        clear(self.form)
        self.rows = {}
        for ask in piece.asks if piece is not None else ():
            self.rows[ask.name] = self._row(ask)
            self.form.addWidget(self.rows[ask.name])
        self.solve.setVisible(piece is not None)
        self._show(None)
        self.said.say("")

    def _row(self, ask: Asked) -> LabeledEditor:
        edit = QLineEdit()
        row = LabeledEditor(ask.name, edit, str(ask.text))
        row.hint.say(str(ask.text))
        if ask.quantity is LENGTH and ask.expected is not None:
            usual = format_length(ask.expected, self.session.shown_inches)
            edit.setPlaceholderText(self.tr("about {size}").format(size=usual))
        elif ask.names is not None:
            edit.setPlaceholderText(", ".join(ask.names))
        edit.returnPressed.connect(self.work_out)
        return row

    # --- what they come to ------------------------------------------------------------------------------------

    def readings(self) -> str:
        """Return what was typed, as a file of readings."""
        typed = [(name, _edit(row).text().strip()) for name, row in self.rows.items()]
        unit = "in" if self.session.shown_inches else "mm"
        return "\n".join([f"unit = {unit}", *(f"{name} = {text}" for name, text in typed if text)])

    def work_out(self) -> None:
        """Work out what the readings come to; what can't be read is said at its field."""
        if self.piece is None:
            return
        for row in self.rows.values():
            row.complain("")
        self.said.say("")
        try:
            result = solved(self.piece, self.readings(), "", self.where)
        except KerfproofError as error:
            self._show(None)
            self._complain(sentence_of(error))
            return
        self._show(result)

    def _complain(self, sentence: str) -> None:
        for name, row in self.rows.items():
            if sentence.startswith((f"{name}:", f"{name} =", f"{name} has", f"the reading {name!r}")):
                row.complain(sentence)
                return
        self.said.say(sentence)

    def _show(self, result: CouponResult | None) -> None:
        self.result = result
        self.said.say("")
        lines = () if result is None else result.lines
        self.lines.say("\n".join(f"{key}: {self.session.said(value)}" for key, value in lines))
        told = []
        for finding in result.findings if result is not None else ():
            words = {Severity.ERROR: self.tr("error"), Severity.WARNING: self.tr("warning")}
            severity = words.get(finding.severity, self.tr("note"))
            told.append(f"{severity}: {finding.sentence(self.session.shown_inches)}")
            if finding.severity is not Severity.NOTE:
                name = finding.value("name")
                if isinstance(name, str) and name in self.rows:
                    self.rows[name].complain(self.session.said(finding.problem))
        self.told.say("\n".join(told))
        may_save = result is not None and result.ok and bool(result.changes)
        self.below.setVisible(may_save)
        if may_save:
            self.target.offer(self._targets())
            self.target.box.setCurrentIndex(0)

    # --- keeping it -------------------------------------------------------------------------------------------

    @property
    def folder(self) -> str:
        """The kind of file that the result goes to."""
        changes = self.result.changes if self.result is not None else ()
        return "charts" if any(c.file == "chart" for c in changes) else "machines"

    def _used(self) -> str:
        job = self.session.job
        own = defaults.settings()
        if self.folder == "charts":
            return (job.chart if job else own.chart) or ""
        return (job.machine if job else own.machine) or ""

    def _targets(self) -> list[tuple[str, Target]]:
        """Return the own files there are, the one in use first, and a copy of the built-in one in use."""
        files, used = store.shop_files(self.folder), self._used()
        own = sorted((f.name for f in files if f.origin == "own"), key=lambda name: (name != used, name))
        choices: list[tuple[str, Target]] = [(name, (name, "")) for name in own]
        built_in = used if used and used not in own else next((f.name for f in files if f.origin == "built-in"), "")
        if built_in and built_in not in own:
            new = free_name(self.folder, built_in)
            words = self.tr("{new}: a new copy of {name}").format(new=new, name=built_in)
            choices.insert(0 if used not in own else len(own), (words, (new, built_in)))
        return choices

    def save(self) -> None:
        """Write the result into the file chosen."""
        target = self.target.box.currentData()
        if self.piece is None or self.result is None or target is None:
            return
        name, copy_of = target
        folder = self.folder
        with self.said.refusals():
            if copy_of:
                store.copy_shop_file(folder, copy_of, name)
            names = {"chart" if folder == "charts" else "machine": name}
            saved = save(self.piece, self.result, date.today().isoformat(), **names)
            self.below.setVisible(False)
            was = self.tr("{key} = {now}, it was {before}")
            new = self.tr("{key} = {now}")
            lines = [(was if s.before else new).format(key=s.key, now=s.now, before=s.before) for s in saved]
            self.told.say("\n".join([self.tr("Saved in {file}:").format(file=saved[0].path), *lines]))
            self.saved.emit(folder, name)


def _edit(row: LabeledEditor) -> QLineEdit:
    assert isinstance(row.editor, QLineEdit)
    return row.editor
