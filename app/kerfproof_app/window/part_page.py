"""The page "is it the part I drew": the drawings of the job, the plate, what is joined, what the contours are for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSpinBox,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from kerfproof.job import DrawingUse, Job, Origin, RoleRule, SmallHoles
from kerfproof.units import format_size
from kerfproof_app import handwork
from kerfproof_app.session import Session
from kerfproof_app.window.fields import ANGLE, ChoiceField, QuantityField, SizeField
from kerfproof_app.window.panel import Panel
from kerfproof_app.window.words import plural

ROLES = ("cut", "slit", "mark", "ignore")


def heading(text: str) -> QLabel:
    """Return a heading of a page."""
    label = QLabel(text)
    label.setObjectName("heading")
    label.setContentsMargins(0, 10, 0, 2)
    return label


def scrolled(inner: QWidget) -> QScrollArea:
    """Return a page that scrolls if the window is low."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(inner)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area


class DrawingBox(QFrame):
    """One drawing: how many, turned, mirrored."""

    def __init__(self, session: Session, number: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.number = session, number
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.title = QLabel()
        self.title.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.drawn = QLabel()
        self.drawn.setObjectName("faint")
        self.remove = QToolButton()
        self.remove.setText("✕")
        self.remove.setAutoRaise(True)
        self.remove.setToolTip(self.tr("Take this drawing out of the job"))
        self.remove.setAccessibleName(self.tr("Take this drawing out of the job"))
        self.remove.clicked.connect(lambda: self.session.remove_drawing(self.number))
        self.count = QSpinBox()
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
        self.quarter = QToolButton()
        self.quarter.setText("+90°")
        self.quarter.setToolTip(self.tr("Turn a quarter to the left"))
        self.quarter.clicked.connect(self._quarter)
        top = QHBoxLayout()
        top.addWidget(self.title, 1)
        top.addWidget(self.remove)
        low = QHBoxLayout()
        low.addWidget(self.count)
        low.addStretch(1)
        low.addWidget(self.mirror)
        turned = QHBoxLayout()
        turned.addWidget(self.turn, 1)
        turned.addWidget(self.quarter)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(10, 6, 8, 8)
        rows.setSpacing(3)
        rows.addLayout(top)
        rows.addWidget(self.drawn)
        rows.addLayout(low)
        rows.addLayout(turned)

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
        for widget, value in ((self.count, use.count), (self.mirror, use.mirror)):
            widget.blockSignals(True)
            widget.setValue(value) if isinstance(widget, QSpinBox) else widget.setChecked(bool(value))
            widget.blockSignals(False)
        self.turn.show_value(use.turn_deg)
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


class PartPage(Panel):
    """Drawings, plate and roles. `add_wanted` asks for another drawing."""

    add_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.boxes: list[DrawingBox] = []
        inner = QWidget()
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(14, 4, 14, 14)
        rows.setSpacing(4)
        rows.addWidget(heading(self.tr("Drawings")))
        self.drawings = QVBoxLayout()
        rows.addLayout(self.drawings)
        self.add = QPushButton(self.tr("Add a drawing ..."))
        self.add.clicked.connect(self.add_wanted)
        rows.addWidget(self.add, 0, Qt.AlignmentFlag.AlignLeft)
        rows.addWidget(heading(self.tr("Plate")))
        self.plate = SizeField(self.tr("Size"), self.tr("Width and height of the plate, for example 1200x600 mm"))
        self.origin = ChoiceField(
            self.tr("Zero"),
            [(self.tr("corner of the plate"), Origin.CORNER), (self.tr("zero of the drawing"), Origin.DRAWING)],
            self.tr("Where the program's zero lies"),
        )
        self.margin = QuantityField(self.tr("Margin"), least=0.0, tip=self.tr("Metal left free along the plate's edge"))
        self.plate.changed.connect(lambda v: session.change(self.tr("plate size"), plate=v))
        self.origin.changed.connect(lambda v: session.change(self.tr("program zero"), origin=v))
        self.margin.changed.connect(lambda v: session.change(self.tr("margin"), margin=v))
        for row in (self.plate, self.origin, self.margin):
            rows.addWidget(row)
        rows.addWidget(heading(self.tr("Contours")))
        self.join = QuantityField(
            self.tr("Close gaps up to"), may_be_empty=False, least=0.0, decimals=(3, 4),
            tip=self.tr("Ends that are nearer to each other are joined; each is told in the findings"),
        )  # fmt: skip
        self.holes = ChoiceField(
            self.tr("Small holes"),
            [(self.tr("refuse: an error"), SmallHoles.REFUSE), (self.tr("leave for the drill"), SmallHoles.DRILL),
             (self.tr("cut all the same, rough"), SmallHoles.CUT)],
            self.tr("What becomes of holes below the smallest diameter of the chart"),
        )  # fmt: skip
        self.join.changed.connect(lambda v: session.change(self.tr("gaps to close"), join_tolerance=v))
        self.holes.changed.connect(lambda v: session.change(self.tr("small holes"), small_holes=v))
        rows.addWidget(self.join)
        rows.addWidget(self.holes)
        self._roles(rows)
        rows.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scrolled(inner))
        self.refresh()

    def _roles(self, rows: QVBoxLayout) -> None:
        self.chosen = QLabel()
        self.chosen.setWordWrap(True)
        rows.addWidget(self.chosen)
        names = {"cut": self.tr("Cut"), "slit": self.tr("Slit"), "mark": self.tr("Mark"), "ignore": self.tr("Ignore")}
        tips = {
            "cut": self.tr("An outline or a hole: the torch runs beside it"),
            "slit": self.tr("Cut on the line itself"),
            "mark": self.tr("Kept in the drawing, not cut"),
            "ignore": self.tr("As if it were not drawn"),
        }
        row = QHBoxLayout()
        self.role_buttons: dict[str, QPushButton] = {}
        for role in ROLES:
            button = QPushButton(names[role])
            button.setToolTip(tips[role])
            button.clicked.connect(lambda _checked=False, role=role: self._give(role))
            self.role_buttons[role] = button
            row.addWidget(button)
        rows.addLayout(row)
        self.given = QPushButton(self.tr("Take back roles given to single contours"))
        self.given.setFlat(True)
        self.given.clicked.connect(lambda: self.session.change(self.tr("roles as drawn"), contour_roles=()))
        rows.addWidget(self.given, 0, Qt.AlignmentFlag.AlignLeft)
        rows.addWidget(heading(self.tr("Layers")))
        self.layers = QVBoxLayout()
        self.layers.setSpacing(2)
        rows.addLayout(self.layers)

    def told(self, word: str) -> None:
        """Show the job anew."""
        if word in ("job", "outcome", "units", "selection", "state"):
            self.refresh()

    def refresh(self) -> None:
        """Show what the job says."""
        job = self.session.job
        self.setEnabled(job is not None)
        if job is None:
            return
        inches = self.session.shown_inches
        self._drawings(job)
        usual = self.tr("as large as the parts need")
        self.plate.show_value(job.plate, usual, inches)
        self.origin.show_value(job.origin)
        outcome = self.session.outcome
        self.margin.show_value(job.margin, outcome.process.plate_margin if outcome else None, inches)
        self.join.show_value(job.join_tolerance, None, inches)
        self.holes.show_value(job.small_holes)
        self._selection(job)
        self._layers(job)

    def _drawings(self, job: Job) -> None:
        while len(self.boxes) > len(job.drawings):
            box = self.boxes.pop()
            box.hide()
            box.deleteLater()
        while len(self.boxes) < len(job.drawings):
            self.boxes.append(DrawingBox(self.session, len(self.boxes)))
            self.drawings.addWidget(self.boxes[-1])
        for box in self.boxes:
            box.refresh()

    def _selection(self, job: Job) -> None:
        chosen = self.session.selection.features
        ready = bool(chosen) and self.session.state == "current"
        for button in self.role_buttons.values():
            button.setEnabled(ready)
        if not chosen:
            self.chosen.setText(self.tr("Select contours on the plate to give them another role:"))
        else:
            self.chosen.setText(
                plural(
                    len(chosen),
                    self.tr("1 contour is selected. Make it:"),
                    self.tr("{n} contours are selected. Make them:"),
                )
            )
        self.given.setVisible(bool(job.contour_roles))

    def _give(self, role: str) -> None:
        session = self.session
        if session.job is None or session.outcome is None or not session.selection.features:
            return
        job = handwork.with_role(session.job, session.outcome, session.selection.features, role)
        session.edit(job, self.tr("role {role}").format(role=role))

    def _layers(self, job: Job) -> None:
        outcome = self.session.outcome
        names = sorted({e.layer for d in outcome.drawings for e in d.entities}) if outcome else []
        rules = {rule.layer: rule.role for rule in job.roles}
        now = [(name, rules.get(name, "")) for name in names]
        if getattr(self, "_shown_layers", None) == now:
            return
        self._shown_layers = now
        while self.layers.count():
            item = self.layers.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        for name, role in now:
            self.layers.addWidget(self._layer(name, role))

    def _layer(self, name: str, role: str) -> QWidget:
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        label = QLabel(name)
        box = QComboBox()
        box.setAccessibleName(self.tr("Role of layer {name}").format(name=name))
        for text, value in ((self.tr("by its name"), ""), *((r, r) for r in ROLES)):
            box.addItem(text, value)
        box.setCurrentIndex(max(box.findData(role), 0))
        box.activated.connect(lambda _index, name=name, box=box: self._rule(name, box.currentData()))
        line.addWidget(label, 1)
        line.addWidget(box)
        return row

    def _rule(self, layer: str, role: str) -> None:
        job = self.session.job
        if job is None:
            return
        rules = [rule for rule in job.roles if rule.layer != layer]
        if role:
            rules.insert(0, RoleRule(layer=layer, role=role))
        self.session.change(self.tr("role of layer {layer}").format(layer=layer), roles=tuple(rules))
