"""The editor of machine files: a form with every key of the file, explained, and judged as it is typed."""

from __future__ import annotations

import re
from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout, QWidget

from kerfproof.api import dialects
from kerfproof.sentence import said
from kerfproof.shop.file_model import key_of, nested
from kerfproof.shop.machine_file import MachineFile
from kerfproof_app.window.shop.field_form import FieldForm
from kerfproof_app.window.shop.key_field import KeyField
from kerfproof_app.window.shop.shop_document import MACHINES, ShopDocument
from kerfproof_app.window.shop.shop_editor import ShopEditor
from kerfproof_app.window.widgets.lists import KeyList
from kerfproof_app.window.widgets.page_parts import column_layout, fill, heading, page_of, scrolled
from kerfproof_app.work.session import Session


class MachineEditor(ShopEditor):
    """Machines of the shop: built-in ones to read and copy, own ones to change.

    `key_of_rule` says at which key a finding on a machine is told.
    """

    def __init__(self, session: Session, key_of_rule: Mapping[str, str], parent: QWidget | None = None) -> None:
        super().__init__(session, MACHINES, parent)
        self._key_of_rule = key_of_rule
        self.setAccessibleName(self.tr("Machines"))
        self._anchors: dict[str, QLabel] = {}
        self.forms: list[FieldForm] = []
        self.begin(self._build())

    def _build(self) -> QScrollArea:
        rows = column_layout(margins=(4, 0, 16, 16))
        choices = {"control.dialect": {name: f"{name}: {d.title}" for name, d in dialects().items()}}
        self.sections = KeyList(self.tr("Sections of the form"))
        self.sections.picked.connect(self._to_section)
        self._add_section(rows, "", self.tr("Name"), FieldForm(MachineFile, (), choices))
        for name, info in MachineFile.model_fields.items():
            section = nested(info)
            if section is not None:
                key = key_of(name, info)
                form = FieldForm(section, (key,), choices)
                self._add_section(rows, key, info.description or key, form)
        rows.addStretch(1)
        fill(self.left, QLabel(self.tr("Go to")), (self.sections, 3))
        self._scroll = scrolled(page_of(rows), takes_focus=True)
        return self._scroll

    def _add_section(self, rows: QVBoxLayout, key: str, title: str, form: FieldForm) -> None:
        above = self._anchors[key] = heading(title, (0, 14, 0, 2), times=1.25)
        above.setWordWrap(True)
        self.sections.add(key, self.tr("name") if not key else key.replace("_", " "))
        self.forms.append(form)
        fill(rows, above, form)

    def _to_section(self, key: str) -> None:
        self._scroll.verticalScrollBar().setValue(self._anchors[key].y())

    # --- showing ----------------------------------------------------------------------------------------------

    def fields(self) -> list[KeyField]:
        """Return all fields in order."""
        return [field for form in self.forms for field in form.fields]

    def show_form(self, document: ShopDocument) -> None:
        """Show values and mistakes."""
        inches = document.get(("control", "units")) == "inch"
        for form in self.forms:
            form.show_document(document)
        told = dict(document.mistakes)
        for finding in document.findings:
            told.setdefault(
                self._key_of_rule.get(finding.rule, ""),
                f"{said(finding.problem, inches)}: {said(finding.remedy, inches)}",
            )
        self.said.say("\n".join(self._share_out(told, inches)))

    def _share_out(self, told: dict[str, str], inches: bool) -> list[str]:
        """Put each sentence beside its field; return those that belong to none."""
        by_key: dict[str, str] = {}
        for path, sentence in told.items():
            by_key[re.sub(r" \d+$", "", path)] = sentence
        for field in self.fields():
            field.use_unit_system(inches)
            field.show_mistake(by_key.pop(".".join(map(str, field.keys)), ""))
        return [f"{path}: {sentence}" if path else sentence for path, sentence in by_key.items()]

    def field(self, key: str) -> KeyField | None:
        """Return the field of a key path, or the first one under it."""
        plain = re.sub(r" \d+$", "", key)
        named = {".".join(map(str, field.keys)): field for field in self.fields()}
        return named.get(plain) or next((f for path, f in named.items() if path.startswith(f"{plain}.")), None)

    def show_field(self, key: str) -> None:
        """Bring a field to sight and put the cursor into it."""
        field = self.field(key)
        if field is not None:
            self._scroll.ensureWidgetVisible(field, 0, 80)
            field.editor.setFocus(Qt.FocusReason.OtherFocusReason)
