"""One drawing of the job on the part page: its unit, how many, turned, mirrored."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QCheckBox, QFrame, QWidget

from kerfproof.job.job import DrawingUse
from kerfproof.units import ANGLE, format_size
from kerfproof_app.window.widgets.fields import ChoiceField, QuantityField
from kerfproof_app.window.widgets.page_parts import NameLabel, column_layout, line_label, row_layout, tool_button
from kerfproof_app.window.widgets.scroll_safe_inputs import CountBox
from kerfproof_app.work.session import Session


class DrawingBox(QFrame):
    """One drawing: how many, turned, mirrored, in which unit."""

    def __init__(self, session: Session, number: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.number = session, number
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.title = NameLabel()
        self.drawn = line_label(look="faint")
        self.remove = tool_button(
            "✕", lambda: self.session.remove_drawing(self.number), self.tr("Take this drawing out of the job")
        )
        self.count = CountBox()
        self.count.setRange(1, 999)
        self.count.setSuffix(" ×")
        self.count.setKeyboardTracking(False)
        self.count.setAccessibleName(self.tr("How many of it"))
        self.count.valueChanged.connect(lambda v: self._change(self.tr("number of parts"), count=v))
        self.mirror = QCheckBox(self.tr("mirrored"))
        self.mirror.toggled.connect(lambda on: self._change(self.tr("mirror"), mirror=on))
        self.turn = QuantityField(self.tr("Turned"), ANGLE, may_be_empty=False)
        self.turn.caption.setMinimumWidth(0)
        self.turn.changed.connect(lambda v: self._change(self.tr("turn"), turn_deg=v))
        self.quarter = tool_button("+90°", self._quarter, self.tr("Turn a quarter to the left"))
        self.quarter.setAutoRaise(False)
        self.unit = ChoiceField(
            self.tr("Unit"),
            [(self.tr("as the file says"), None), (self.tr("millimetres"), 1.0), (self.tr("centimetres"), 10.0),
             (self.tr("inches"), 25.4)],
            self.tr("What a 1 in the drawing is; for files that say it wrongly"),
        )  # fmt: skip
        self.unit.caption.setMinimumWidth(0)
        self.unit.changed.connect(lambda v: self._change(self.tr("unit"), mm_per_unit=v))
        top = row_layout((self.title, 1), self.remove)
        low = row_layout(self.count, 1, self.mirror)
        turned = row_layout((self.turn, 1), self.quarter)
        column_layout(top, self.drawn, low, turned, self.unit, parent=self, margins=(10, 6, 8, 8), spacing=3)

    @property
    def use(self) -> DrawingUse | None:
        """The drawing as the job has it."""
        job = self.session.job
        return job.drawings[self.number] if job is not None and self.number < len(job.drawings) else None

    def refresh(self) -> None:
        """Show what the job says."""
        use, outcome = self.use, self.session.outcome
        if use is None:
            return
        self.title.setText(use.name)
        self.remove.setVisible(self.session.job is not None and len(self.session.job.drawings) > 1)
        with QSignalBlocker(self.count), QSignalBlocker(self.mirror):
            self.count.setValue(use.count)
            self.mirror.setChecked(use.mirror)
        self.turn.show_value(use.turn_deg)
        self.unit.show_value(use.mm_per_unit)
        drawing = next((d for d in outcome.drawings if d.name == use.name), None) if outcome else None
        box = drawing.bounds() if drawing is not None else None
        if box is not None and drawing is not None:
            inches = self.session.shown_inches
            size = format_size(round(box[2] - box[0], 2), round(box[3] - box[1], 2), inches).replace("x", " × ")
            where = {"header": self.tr("as the file says"), "given": self.tr("as you said")}
            unit = drawing.units.name or "mm"
            self.drawn.setText(f"{size}, {self.tr('drawn in')} {unit} {where.get(drawing.units.source, '')}".strip())

    def _change(self, label: str, **values: Any) -> None:
        job, use = self.session.job, self.use
        if job is not None and use is not None:
            uses = tuple(replace(u, **values) if k == self.number else u for k, u in enumerate(job.drawings))
            self.session.change(f"{label}: {use.name}", drawings=uses)

    def _quarter(self) -> None:
        if self.use is not None:
            self._change(self.tr("turn"), turn_deg=(self.use.turn_deg + 90.0) % 360.0)
