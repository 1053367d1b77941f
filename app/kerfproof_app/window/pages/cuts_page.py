"""The page of the cuts: their order, and the leads of those that are selected."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QItemSelectionModel, QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QListWidgetItem, QWidget

from kerfproof.job.job import Job
from kerfproof.job.process import check_lead
from kerfproof.sentence import joined_phrases, say
from kerfproof.units import format_length
from kerfproof_app.window.pages.cut_list import FEATURE, CutList
from kerfproof_app.window.plate.scene.plate_scene import Scene
from kerfproof_app.window.plate.tools.cut_order import order_by_rule, set_order
from kerfproof_app.window.widgets.fields import ChoiceField, QuantityField, guarded
from kerfproof_app.window.widgets.page_parts import GLOVE, TextLabel, column_layout, push_button
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.words import feature_words, plural, tr
from kerfproof_app.work import job_edits
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change


class CutsPage(Panel):
    """Order and leads. `pick_wanted` asks for picking the order on the plate."""

    pick_wanted = Signal()
    lead_wanted = Signal(int)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.scene: Scene | None = None
        self.list = CutList()
        self.list.moved.connect(self._moved)
        self.list.itemSelectionChanged.connect(self._select)
        self.note = TextLabel(look="faint")
        tip = self.tr("Cut it earlier (Alt and up arrow)")
        self.up = push_button(self.tr("Earlier"), lambda: self.list.shift(-1), tip, height=GLOVE)
        tip = self.tr("Cut it later (Alt and down arrow)")
        self.down = push_button(self.tr("Later"), lambda: self.list.shift(1), tip, height=GLOVE)
        self.pick = push_button(self.tr("Pick on the plate"), self.pick_wanted, height=GLOVE)
        self.rule = push_button(self.tr("By the usual rules"), lambda: order_by_rule(self.session), height=GLOVE)
        self.lead_title = TextLabel(look="heading")
        self.shape = ChoiceField(self.tr("Shape"))
        self.size_field = QuantityField(self.tr("Size"), above=0.0, tip=self.tr("Empty: the largest that fits"))
        self.shape.changed.connect(lambda _v: self._lead())
        self.size_field.usual_is(self.tr("the largest that fits is {usual}"), self.tr("Back to the largest that fits"))
        self.size_field.changed.connect(self._sized)
        tip = self.tr("Arrow keys slide the lead, Enter drops it (M on the plate)")
        self.by_keys = push_button(self.tr("Move by keys"), self._move, tip, height=GLOVE)
        tip = self.tr("Cut it the other way round: its lead comes from the other side, a slit begins at its other end")
        self.flip = push_button(self.tr("From the other side"), self._flip, tip, height=GLOVE)
        tip = self.tr("Let the usual rules choose the leads of the selected cuts")
        self.again = push_button(self.tr("Choose again"), self.choose_again, tip, height=GLOVE)
        self.again_all = push_button(self.tr("Choose all again"), self.choose_all_again, height=GLOVE)
        order = _two_by_two(self.up, self.down, self.pick, self.rule)
        leads = _two_by_two(self.by_keys, self.flip, self.again, self.again_all)
        column_layout(
            (self.list, 1), self.note, order, self.lead_title, self.shape, self.size_field, leads,
            parent=self, margins=(14, 8, 14, 12),
        )  # fmt: skip
        self.refresh()

    def show_scene(self, scene: Scene | None) -> None:
        """Show the cuts of a scene."""
        self.scene = scene
        self.refresh()

    def told(self, change: Change) -> None:
        """Follow selection, units and state."""
        if change is Change.SELECTION:
            self._mark()
            self._leads()
        elif change in (Change.STATE, Change.UNITS, Change.OUTCOME):
            if self.session.outcome is None:
                self.scene = None
            self.refresh()

    def refresh(self) -> None:
        """List the cuts."""
        cuts = self.scene.outcome.plan.cuts if self.scene and self.scene.outcome.plan else ()
        with QSignalBlocker(self.list):
            self.list.clear()
            inches = self.session.shown_inches
            for number, cut in enumerate(cuts, 1):
                diameter = self.scene.by_number[cut.feature].diameter if self.scene else None
                name = feature_words(cut.kind, cut.label, diameter, inches)
                many = self.scene is not None and len(self.scene.outcome.parts.parts) > 1
                item = QListWidgetItem(f"{number}   {name}" + (f"   {cut.part}" if many else ""))
                item.setData(FEATURE, cut.feature)
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsDropEnabled)  # a cut goes between two others
                item.setToolTip(f"{cut.part}, {name}, {format_length(cut.length(), inches, 1 + inches)}")
                self.list.addItem(item)
        current = self.session.state == "current" and bool(cuts)
        for widget in (self.list, self.up, self.down, self.pick):
            widget.setEnabled(current)
        by_hand = self.session.job is not None and bool(self.session.job.sequence)
        self.rule.setEnabled(current and by_hand)
        self.note.setText(
            self.tr("This order is kept: made by hand, or as it was when a lead was moved.")
            if by_hand
            else self.tr("Drag a cut, or use Alt and the arrow keys.")
        )
        if self.session.job is None and self.session.document is not None:
            self.note.setText(self.tr("A program opened by itself: order and leads are as its text has them."))
        self._mark()
        self._leads()

    def _mark(self) -> None:
        chosen = set(self.session.selection.features)
        with QSignalBlocker(self.list):
            first = None
            for k in range(self.list.count()):
                item = self.list.item(k)
                on = item.data(FEATURE) in chosen
                if item.isSelected() != on:
                    item.setSelected(on)
                if on and first is None:
                    first = item
            if first is not None and not self.list.hasFocus():
                self.list.setCurrentItem(first, QItemSelectionModel.SelectionFlag.NoUpdate)
                self.list.scrollToItem(first)

    def _select(self) -> None:
        self.session.select(tuple(int(item.data(FEATURE)) for item in self.list.selectedItems()))

    def _moved(self, features: list[int]) -> None:
        if not set_order(self.session, features):
            self.refresh()

    # --- leads --------------------------------------------------------------------------------------------

    def _chosen(self) -> list[int]:
        if self.scene is None or self.scene.outcome.plan is None or self.session.state != "current":
            return []
        bench = self.scene.bench()
        return [n for n in self.session.selection.features if bench.knows(n) and n in self.scene.cut_of]

    def _turnable(self) -> list[int]:
        outcome = self.scene.outcome if self.scene is not None and self.session.state == "current" else None
        slits = [n for n in self.session.selection.features if outcome and job_edits.swaps_ends(outcome, n)]
        return self._chosen() + slits if self.session.selection.features else []

    def _leads(self) -> None:
        chosen = self._chosen() if self.session.selection.features else []
        ready = bool(chosen)
        for widget in (self.shape, self.size_field):
            widget.setEnabled(ready)
        for button in (self.flip, self.again):
            button.setEnabled(bool(self._turnable()))
        self.by_keys.setEnabled(len(chosen) == 1)
        job = self.session.job
        self.again_all.setEnabled(job is not None and bool(job.pins or job.sequence))
        if not ready or self.scene is None or job is None:
            self.lead_title.setText(self.tr("Select a cut to change its lead"))
            return
        outcome, bench = self.scene.outcome, self.scene.bench()
        known = [job_edits.feature_of(outcome, n) for n in chosen]
        inches = self.session.shown_inches
        labels = [feature_words(f.kind.value, f.label, f.diameter, inches) for f in known]
        title = labels[0] if len(labels) == 1 else plural(len(labels), "", self.tr("{n} cuts"))
        self.lead_title.setText(self.tr("Lead of {what}").format(what=title))
        shapes: dict[str, str] = {}
        for number in chosen:
            shapes |= bench.shapes_for(number)
        self.shape.offer([(self.tr("the best that fits"), "")] + [(tr(t), n) for n, t in shapes.items()])
        pin = job_edits.pin_index(outcome.job, outcome, chosen[0])
        pinned = None if pin is None else outcome.job.pins[pin]
        cut = job_edits.cut_of(outcome, chosen[0])
        self.shape.show_value((pinned.shape if pinned else None) or "")
        usual = bench.full_size(chosen[0], cut.lead_shape) if cut and cut.lead_shape in bench.shapes else None
        self.size_field.show_value(pinned.size if pinned else None, usual, self.session.shown_inches)

    def _sized(self, value: float | None) -> None:
        def take() -> None:
            check_lead(value)
            self.size_field.value = value
            self._lead()

        guarded(self.size_field, take, self.session.shown_inches)

    def _lead(self) -> None:
        chosen, session = self._chosen(), self.session
        if not chosen or session.job is None or self.scene is None:
            return
        shape = self.shape.box.currentData() or None
        outcome, bench = self.scene.outcome, self.scene.bench()
        kept = job_edits.with_order_kept(session.job, outcome)
        job, refused = job_edits.with_lead(kept, outcome, bench, chosen, shape, self.size_field.value)
        session.edit(job, plural(len(chosen), self.tr("change a lead"), self.tr("change {n} leads")))
        what = joined_phrases(refused[:3], "; ")
        session.say(say(self.tr("Not as wanted: {what}."), what=what) if refused else "")

    def _edit(self, label: str, change: Callable[[Job, Scene], Job]) -> None:
        if self.session.job is not None and self.scene is not None:
            self.session.edit(change(self.session.job, self.scene), label)

    def _flip(self) -> None:
        def flipped(job: Job, scene: Scene) -> Job:
            kept = job_edits.with_order_kept(job, scene.outcome)
            return job_edits.flipped(kept, scene.outcome, scene.bench(), chosen)

        chosen = self._turnable()
        if chosen:
            self._edit(self.tr("lead from the other side"), flipped)

    def choose_again(self) -> None:
        """Let the usual rules choose the leads of the selected cuts."""
        self._edit(
            self.tr("choose leads again"),
            lambda job, scene: job_edits.chosen_again(job, scene.outcome, self._turnable()),
        )

    def choose_all_again(self) -> None:
        """Let the usual rules choose all leads, and the order."""
        self._edit(self.tr("choose all leads again"), lambda job, scene: job_edits.chosen_again(job, scene.outcome))

    def _move(self) -> None:
        chosen = self._chosen()
        if chosen:
            self.lead_wanted.emit(chosen[0])


def _two_by_two(*buttons: QWidget) -> QGridLayout:
    grid = QGridLayout()
    for k, button in enumerate(buttons):
        grid.addWidget(button, k // 2, k % 2)
    return grid
