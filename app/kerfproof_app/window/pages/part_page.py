"""The page "is it the part I drew": the drawings of the job, the plate, what is read and joined, what it is for."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout

from kerfproof.job.job import Job, Origin, SmallHoles
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.units import LENGTH, parse_box, spell
from kerfproof_app.window.pages.drawing_box import DrawingBox
from kerfproof_app.window.pages.roles_table import ROLES, RolesTable, role_names
from kerfproof_app.window.pages.settings_page import SettingsPage
from kerfproof_app.window.widgets.fields import ChoiceField, QuantityField, SizeField, TextField, TickField
from kerfproof_app.window.widgets.page_parts import (
    TextLabel,
    column_layout,
    fill,
    heading,
    left,
    push_button,
    row_layout,
)
from kerfproof_app.window.widgets.typed_fields import with_unit_behind
from kerfproof_app.window.widgets.words import plural
from kerfproof_app.work import job_edits
from kerfproof_app.work.uncut_chains import uncut_of, with_role
from kerfproof_app.work.view_state import Change


class PartPage(SettingsPage):
    """Drawings, plate and roles. `add_wanted` asks for another drawing."""

    follows = (Change.JOB, Change.OUTCOME, Change.UNITS, Change.SELECTION, Change.STATE)

    add_wanted = Signal()

    def build(self, rows: QVBoxLayout) -> None:
        """Put the fields into a column."""
        self.boxes: list[DrawingBox] = []
        self.drawings = column_layout()
        self.add = push_button(self.tr("Add a drawing ..."), self.add_wanted)
        fill(rows, heading(self.tr("Drawings")), self.drawings, left(self.add), heading(self.tr("Plate")))
        self.plate = SizeField(self.tr("Size"), self.tr("Width and height of the plate, for example 1200x600 mm"))
        self.plate.changed.connect(lambda v: self.session.change(self.tr("plate size"), plate=v))
        rows.addWidget(self.plate)
        self.origin = self.bind(rows, "origin", self.tr("program zero"), ChoiceField(
            self.tr("Zero"),
            [(self.tr("corner of the plate"), Origin.CORNER), (self.tr("zero of the drawing"), Origin.DRAWING)],
            self.tr("Where the program's zero lies"),
        ))  # fmt: skip
        self.margin = QuantityField(self.tr("Margin"), least=0.0, tip=self.tr("Metal left free along the plate's edge"))
        self.margin.changed.connect(lambda v: self.session.change(self.tr("margin"), margin=v))
        rows.addWidget(self.margin)
        self._contours(rows)
        self._roles(rows)

    def _contours(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Contours")))
        self.page = self.bind(rows, "page", self.tr("page frame"), ChoiceField(
            self.tr("Page frame"),
            [(self.tr("left out if certain, else told"), PageFrames.AUTO), (self.tr("leave it out"), PageFrames.IGNORE),
             (self.tr("cut it as an outline"), PageFrames.CUT)],
            self.tr("What becomes of a rectangle round everything"),
        ))  # fmt: skip
        self.join = self.bind(rows, "join_tolerance", self.tr("gaps to close"), QuantityField(
            self.tr("Close gaps up to"), may_be_empty=False, least=0.0, decimals=(3, 4),
            tip=self.tr("Ends that are nearer to each other are joined; each is told in the findings"),
        ))  # fmt: skip
        self.holes = self.bind(rows, "small_holes", self.tr("small holes"), ChoiceField(
            self.tr("Small holes"),
            [(self.tr("leave for the drill"), SmallHoles.DRILL), (self.tr("cut, rough"), SmallHoles.ROUGH),
             (self.tr("an error"), SmallHoles.ERROR)],
            self.tr("What becomes of holes too small to be cut well; under the plate's thickness or 2.5 kerfs they are "
                    "always drilled"),
        ))  # fmt: skip
        self.marks = self.bind(rows, "drill_marks", self.tr("drill marks"), ChoiceField(
            self.tr("Drill marks"),
            [(self.tr("none, points are listed"), DrillKind.NONE), (self.tr("a short pierce"), DrillKind.PIERCE),
             (self.tr("a small cross"), DrillKind.CROSS)],
            self.tr("How points, and round holes up to the diameter below, are marked for the drill"),
        ))  # fmt: skip
        self.below = self.bind(rows, "drill_below", self.tr("drill marks"), QuantityField(
            self.tr("Marks for holes up to"), may_be_empty=False, least=0.0,
            tip=self.tr("Round holes up to this diameter are marked instead of cut; 0: points alone"),
        ))  # fmt: skip
        self.layers = self.bind(rows, "layers", self.tr("layers to read"), TextField(
            self.tr("Only layers"), _names, ", ".join, usual=self.tr("all"),
            tip=self.tr("Names with commas between them; * and ? stand for any letters. Empty: all layers"),
        ))  # fmt: skip
        self.box = self.bind(rows, "window", self.tr("box to read"), TextField(
            self.tr("Only in the box"), self._box, self._box_text, usual=self.tr("everything"),
            tip=self.tr("Two opposite corners in the drawing, for example 0,0,200,100 mm. Empty: everything"),
        ))  # fmt: skip
        bridges = TickField(self.tr("Two bridges hold each middle of a stencil"))
        self.bridges = self.bind(rows, "bridges", self.tr("bridges"), bridges)
        leave_out = TickField(self.tr("Leave out what can't be cut, cut the rest"))
        self.leave_out = self.bind(rows, "leave_out", self.tr("what can't be cut"), leave_out)

    def _box(self, text: str) -> tuple[float, float, float, float] | None:
        if not text:
            return None
        return parse_box(with_unit_behind(text, self.session.shown_inches))

    def _box_text(self, box: tuple[float, float, float, float] | None) -> str:
        unit = "in" if self.session.shown_inches else "mm"
        return "" if box is None else ", ".join(spell(value, LENGTH, unit) for value in box)

    def _roles(self, rows: QVBoxLayout) -> None:
        self.chosen = TextLabel()
        names = role_names()
        tips = {
            "cut": self.tr("An outline or a hole: the torch runs beside it"),
            "slit": self.tr("Cut on the line itself"),
            "mark": self.tr("Kept in the drawing, not cut"),
            "ignore": self.tr("As if it were not drawn"),
        }
        self.role_buttons = {
            role: push_button(names[role], lambda _checked=False, role=role: self._give(role), tips[role])
            for role in ROLES
        }
        self.given = push_button(
            self.tr("Take back roles given to single contours"),
            lambda: self.session.change(self.tr("roles as drawn"), contour_roles=()),
        )
        self.given.setFlat(True)
        self.table = RolesTable(self.session)
        what = heading(self.tr("What is drawn, and what is done with it"))
        fill(rows, self.chosen, row_layout(*self.role_buttons.values()), left(self.given), what, self.table)

    def show_job(self, job: Job, inches: bool) -> None:
        """Show what the job says."""
        self._drawings(job)
        self.show_bound(job, None, inches)
        self.plate.show_value(job.plate, self.tr("as large as the parts need"), inches)
        outcome = self.session.outcome
        self.margin.show_value(job.margin, outcome.process.plate_margin if outcome else None, inches)
        self.below.setEnabled(job.drill_marks is not DrillKind.NONE)
        self._selection(job)

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
        chosen = (*self.session.selection.features, *self.session.selection.loose)
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
        chosen = session.selection
        if session.job is None or session.outcome is None or not (chosen.features or chosen.loose):
            return
        job = job_edits.with_role(session.job, session.outcome, chosen.features, role)
        chains = uncut_of(session.outcome)
        job = with_role(job, [chains[k] for k in chosen.loose if k < len(chains)], role)
        session.edit(job, self.tr("role {role}").format(role=role))


def _names(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(",") if name.strip())
