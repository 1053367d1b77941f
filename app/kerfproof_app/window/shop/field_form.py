"""Forms made from the models of the files: a field per key."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtWidgets import QWidget

from kerfproof.shop.file_model import FileModel, key_of, nested, path
from kerfproof_app.window.shop.key_field import KeyField
from kerfproof_app.window.shop.shop_document import Keys, ShopDocument
from kerfproof_app.window.widgets.page_parts import column_layout


class FieldForm(QWidget):
    """Fields for the keys of one model. `document` is what they show and change; `prefix` the keys before theirs."""

    def __init__(
        self,
        model: type[FileModel],
        prefix: Keys = (),
        choices: Mapping[str, Mapping[str, str]] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.fields: list[KeyField] = []
        self.document: ShopDocument | None = None
        self.setStyleSheet('QLineEdit[readOnly="true"] { background: transparent; }')
        for name, info in model.model_fields.items():
            if nested(info) is None:
                keys = (*prefix, key_of(name, info))
                field = KeyField(keys, info, (choices or {}).get(path(keys)))
                field.edited.connect(partial(self._put, field))
                self.fields.append(field)
        column_layout(*self.fields, parent=self, margins=(0, 0, 0, 0), spacing=0)

    def _put(self, field: KeyField, value: object) -> None:
        if self.document is not None and not self.document.read_only:
            self.document.set(field.keys, value)

    def show_document(self, document: ShopDocument | None) -> None:
        """Show another document, or what became of this one."""
        self.document = document
        if document is None:
            return
        for field in self.fields:
            field.show_value(document.get(field.keys), read_only=document.read_only)

    def move_to_row(self, prefix: Keys) -> None:
        """Make the fields show the keys under another prefix: another row of a chart."""
        for field in self.fields:
            field.keys = (*prefix, field.keys[-1])
        self.show_document(self.document)
