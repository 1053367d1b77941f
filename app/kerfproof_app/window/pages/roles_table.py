"""What the drawing has by layer, colour and line type, how much of it, and what is done with it: a choice for each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QGridLayout, QWidget

from kerfproof.parts.classify.roles import COLORS, folded, type_means, usual_role
from kerfproof_app.window.widgets.page_parts import NameLabel, clear, line_label
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.scroll_safe_inputs import ChoiceBox
from kerfproof_app.window.widgets.words import plural, tr
from kerfproof_app.work import job_edits
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:
    from kerfproof.job.reading import Drawing

ROLES = ("cut", "slit", "mark", "ignore")
KINDS = ("layer", "color", "linetype", "kind")
TEXT = "TEXT"
"""Kind of letters, which rules for layers do not pick; without a rule for them they are left out when it is read."""
LETTERS = ("TEXT", "MTEXT", "ATTRIB")


def role_names() -> dict[str, str]:
    """Return the words for the roles."""
    return {"cut": tr("Cut"), "slit": tr("Slit"), "mark": tr("Mark"), "ignore": tr("Ignore")}


@dataclass(frozen=True, slots=True)
class DrawnLook:
    """One layer, colour or line type of the drawings: how many things look so, and what is usually done with them.

    `usual` is a role, empty where the layer decides.
    """

    kind: str
    name: str
    count: int
    usual: str


def drawn_in(drawings: Iterable[Drawing]) -> tuple[DrawnLook, ...]:
    """Return what the drawings have: all layers, and colours and line types where there is more than one.

    Names that differ in the case of letters alone are one: rules don't tell them apart.
    """
    counts: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    spelled: dict[str, str] = {}
    for drawing in drawings:
        if letters := sum(s.kind in LETTERS for s in drawing.skipped):
            counts["kind"][TEXT] += letters
        for entity in drawing.entities:
            if entity.kind == TEXT:
                counts["kind"][TEXT] += 1
                continue
            counts["layer"][spelled.setdefault(folded(entity.layer), entity.layer)] += 1
            counts["color"][entity.rgb or _color_name(entity.color)] += 1
            counts["linetype"][spelled.setdefault(f"line {folded(entity.linetype)}", entity.linetype)] += 1
    found = [DrawnLook("layer", name, n, usual_role(name).value) for name, n in sorted(counts["layer"].items())]
    for kind in KINDS[1:]:
        if len(counts[kind]) > (kind != "kind"):
            found += [DrawnLook(kind, name, n, _usual(kind, name)) for name, n in sorted(counts[kind].items())]
    return tuple(found)


def _usual(kind: str, name: str) -> str:
    return "ignore" if kind == "kind" or (kind == "linetype" and type_means(name)) else ""


def _color_name(number: int) -> str:
    return next((name for name, (aci, _rgb) in COLORS.items() if aci == number), str(number))


class RolesTable(Panel):
    """A line for each layer, colour and line type with its role."""

    follows = (Change.JOB, Change.OUTCOME, Change.STATE)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.boxes: dict[tuple[str, str], QComboBox] = {}
        self._shown: tuple[DrawnLook, ...] | None = None
        self._of: object = None
        self._drawn: tuple[DrawnLook, ...] = ()
        self.grid = QGridLayout(self)
        self.grid.setContentsMargins(0, 0, 0, 0)
        self.grid.setHorizontalSpacing(8)
        self.grid.setVerticalSpacing(2)
        self.grid.setColumnStretch(0, 1)
        self.refresh()

    def refresh(self) -> None:
        """List what is drawn, and the roles that the job gives."""
        job = self.session.job
        if job is None:
            return
        drawn = self._looked()
        if drawn != self._shown:
            self._shown = drawn
            self._fill(drawn)
        for (kind, name), box in self.boxes.items():
            rule = job_edits.rule_for(job, kind, name)
            box.setCurrentIndex(max(0, box.findData(rule.role if rule else "")))

    def _looked(self) -> tuple[DrawnLook, ...]:
        drawings = self.session.drawings
        if drawings is not self._of and (drawings or self.session.state != "checking"):
            self._of, self._drawn = drawings, drawn_in(drawings)
        return self._drawn

    def _fill(self, drawn: tuple[DrawnLook, ...]) -> None:
        clear(self.grid)
        self.boxes = {}
        titles = {"layer": self.tr("Layers"), "color": self.tr("Colours"), "linetype": self.tr("Line types")}
        titles["kind"] = self.tr("Texts")
        kind, row = "", 0
        for look in drawn:
            if look.kind != kind:
                kind = look.kind
                title = line_label(titles[kind], look="faint")
                title.setContentsMargins(0, 4, 0, 0)
                self.grid.addWidget(title, row, 0, 1, 3)
                row += 1
            self._line(look, row)
            row += 1

    def _line(self, look: DrawnLook, row: int) -> None:
        name = NameLabel()
        name.setText(look.name if look.kind != "kind" else self.tr("letters, as outlines"))
        count = line_label(plural(look.count, self.tr("1 drawn"), self.tr("{n} drawn")), look="faint")
        words = role_names()
        box = ChoiceBox()
        usual = words[look.usual] if look.usual else self.tr("as its layer")
        box.addItem(self.tr("usual: {role}").format(role=usual.lower()), "")
        for role in ROLES:
            box.addItem(words[role], role)
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(13)
        kinds = {"layer": self.tr("layer"), "color": self.tr("colour"), "linetype": self.tr("line type")}
        kinds["kind"] = self.tr("kind")
        box.setAccessibleName(self.tr("Role of {kind} {name}").format(kind=kinds[look.kind], name=look.name))
        box.activated.connect(lambda _index: self._give(look, str(box.currentData())))
        self.boxes[look.kind, look.name] = box
        for column, widget in enumerate((name, count, box)):
            self.grid.addWidget(widget, row, column)

    def _give(self, look: DrawnLook, role: str) -> None:
        job = self.session.job
        if job is not None:
            new = job_edits.with_rule(job, look.kind, look.name, role)
            self.session.edit(new, self.tr("role of {name}").format(name=look.name))
