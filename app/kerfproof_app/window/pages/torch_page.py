"""The page "what will the torch do": machine, chart row and what differs from it, leads, order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout

from kerfproof import api
from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job, LeadChoice, Mode, Order, Rests
from kerfproof.report.data.rule_pages import rules
from kerfproof.shop.chart import CutChart
from kerfproof.shop.profile import Machine
from kerfproof.shop.spelling import RuleChoices
from kerfproof.units import CURRENT, FEED, TIME
from kerfproof_app.shop import store
from kerfproof_app.shop.load_shop import chart_named, machine_named
from kerfproof_app.window.pages.settings_page import SettingsPage
from kerfproof_app.window.pages.tip_line import TipLine
from kerfproof_app.window.widgets.fields import (
    ChoiceField,
    CountField,
    QuantityField,
    SettingField,
    TextField,
    TickField,
    guarded,
)
from kerfproof_app.window.widgets.page_parts import TextLabel, fill, heading, left, push_button, row_layout
from kerfproof_app.window.widgets.words import plural
from kerfproof_app.work.view_state import Change

MOST_TABS = 100


_Field = TypeVar("_Field", QuantityField, ChoiceField)


class TorchPage(SettingsPage):
    """Machine, process and leads of the whole job. `machine_wanted` and `chart_wanted` ask for the editors."""

    follows = (Change.JOB, Change.OUTCOME, Change.UNITS, Change.STATE)

    machine_wanted = Signal(str)
    chart_wanted = Signal(str)

    def build(self, rows: QVBoxLayout) -> None:
        """Put the fields into a column."""
        self._of_leads: list[tuple[SettingField, str, str]] = []
        self._shop(rows)
        self._process(rows)
        self._leads(rows)
        self._order(rows)
        self._tabs(rows)
        self._rest(rows)

    # --- fields -------------------------------------------------------------------------------------------

    def _shop(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Machine and material")))
        self.machine = self._tried(rows, "machine", self.tr("machine"), ChoiceField(self.tr("Machine")))
        self.chart = self._tried(rows, "chart", self.tr("cut chart"), ChoiceField(self.tr("Cut chart")))
        self.material = self._tried(rows, "material", self.tr("material"), ChoiceField(self.tr("Material")))
        self.thickness = self._tried(rows, "thickness", self.tr("thickness"), QuantityField(
            self.tr("Thickness"), may_be_empty=False, above=0.0, tip=self.tr("For example 3 mm, 1/8 in, 0.12 in")
        ))  # fmt: skip
        self.amps = self._tried(rows, "amps", self.tr("current"), QuantityField(
            self.tr("Current"), CURRENT, above=0.0, tip=self.tr("Empty: as the chart says")
        ))  # fmt: skip
        self.edit_machine = push_button(
            self.tr("Machine ..."),
            lambda: self.machine_wanted.emit(self.machine.box.currentData() or ""),
            self.tr("See and change the machine's file"),
        )
        self.edit_chart = push_button(
            self.tr("Cut chart ..."),
            lambda: self.chart_wanted.emit(self.chart.box.currentData() or ""),
            self.tr("See and change the chart's file"),
        )
        self.source = TextLabel(look="faint")
        fill(rows, row_layout(self.edit_machine, self.edit_chart, 1), self.source)

    def _process(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Cut")))
        self.kerf = self._tried(rows, "kerf", self.tr("kerf"), QuantityField(
            self.tr("Kerf"), above=0.0, tip=self.tr("Width of the slot; empty: as the chart says")
        ))  # fmt: skip
        self.feed = self._tried(rows, "feed_mm_min", self.tr("feed"), QuantityField(
            self.tr("Feed"), FEED, above=0.0, tip=self.tr("Empty: as the chart says")
        ))  # fmt: skip
        self.delay = self._tried(rows, "pierce_delay_s", self.tr("pierce delay"), QuantityField(
            self.tr("Pierce delay"), TIME, least=0.0, tip=self.tr("From the lit arc to the first motion")
        ))  # fmt: skip
        self.mode = self.bind(rows, "mode", self.tr("kind of program"), ChoiceField(
            self.tr("Program"),
            [(self.tr("cuts"), Mode.CUT), (self.tr("dry run, torch off, raised"), Mode.DRY),
             (self.tr("frame of the work, raised"), Mode.FRAME),
             (self.tr("tour of the pierces, raised"), Mode.TOUR)],
        ))  # fmt: skip
        sharp = TickField(self.tr("Outside corners by loops, sharp"))
        self.sharp = self.bind(rows, "sharp_corners", self.tr("sharp corners"), sharp)

    def _leads(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Leads of all features")))
        shapes = [(self.tr(title), name) for name, title in api.lead_shapes().items()]
        self.shape = self._lead(rows, "shape", ChoiceField(
            self.tr("Shape"), [(self.tr("the best that fits"), None), *shapes],
            self.tr("For all features where it fits; single ones under Leads and order"),
        ))  # fmt: skip
        self.radius = self._lead(rows, "radius", QuantityField(self.tr("Arc radius"), above=0.0), "lead_radius")
        straight = QuantityField(self.tr("Straight length"), above=0.0)
        self.straight = self._lead(rows, "straight", straight, "lead_straight")
        self.out = self._lead(rows, "lead_out", QuantityField(self.tr("Lead-out"), least=0.0))
        self.burn = self._lead(rows, "over_burn_outline", QuantityField(self.tr("Over-burn, outline"), least=0.0))
        self.burn_hole = self._lead(rows, "over_burn_hole", QuantityField(self.tr("Over-burn, hole"), least=0.0))

    def _order(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Order")))
        self.order = self.bind(rows, "order", self.tr("order"), ChoiceField(
            self.tr("Order"),
            [(self.tr("part by part"), Order.PARTS), (self.tr("all holes, then outlines"), Order.HOLES_FIRST)],
        ))  # fmt: skip
        spread = TickField(self.tr("Spread out, for thin sheet"))
        self.spread = self.bind(rows, "spread", self.tr("spread out"), spread)

    def _tabs(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Tabs")))
        self.tabs = self.bind(rows, "tabs", self.tr("tabs"), CountField(
            self.tr("In each outline"), MOST_TABS, none=self.tr("none"),
            tip=self.tr("Small bridges that hold the parts in the sheet, cut by hand later"),
        ))  # fmt: skip
        self.tab_width = self.bind(rows, "tab_width", self.tr("width of tabs"), QuantityField(
            self.tr("Width"), above=0.0, tip=self.tr("Metal that a tab leaves; empty: by thickness")
        ))  # fmt: skip
        self.tab_width.empty = self.tr("by thickness")
        self.by_hand = TextLabel(look="faint")
        self.no_tabs = push_button(
            self.tr("Take the tabs set by hand away"),
            lambda: self.session.change(self.tr("no tabs by hand"), tab_places=()),
        )
        fill(rows, self.by_hand, left(self.no_tabs))

    def _rest(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Duty, tip and rules")))
        self.rests = self.bind(rows, "rests", self.tr("rests"), ChoiceField(
            self.tr("Rests"),
            [(self.tr("only a warning"), Rests.TELL), (self.tr("stops between cuts"), Rests.STOP),
             (self.tr("waits between cuts"), Rests.DWELL)],
            self.tr("Where the torch is on longer than its rating or the air allow"),
        ))  # fmt: skip
        self.rules = self.bind(rows, "rules", self.tr("rules that count otherwise"), TextField(
            self.tr("Rules otherwise"), _rules, _rules_text, usual=self.tr("all as usual"),
            tip=self.tr("For example line-too-long = note: why; travel-too-low = off: why. Each needs a reason."),
        ))  # fmt: skip
        self.tip = TipLine(self.session)
        rows.addWidget(self.tip)

    # --- what the job says --------------------------------------------------------------------------------

    def show_job(self, job: Job, inches: bool) -> None:
        """Show what the job says, and what chart and machine say instead."""
        self._offer()
        usual = self._usual(job)
        self.show_bound(job, usual, inches)
        for field, key, usual_key in self._of_leads:
            field.show_value(getattr(job.leads, key), getattr(usual, usual_key, None), inches)
        self.source.say((usual.source or "") if usual else "")
        count = len(job.tab_places)
        self.by_hand.setText(
            plural(count, self.tr("1 is set by hand."), self.tr("{n} are set by hand."))
            if count
            else self.tr("By hand: click on an outline, then Cut, Set a tab here.")
        )
        self.no_tabs.setVisible(bool(count))

    def _offer(self) -> None:
        for field, kind in ((self.machine, "machines"), (self.chart, "charts")):
            files = store.shop_files(kind)
            field.offer([(f.name + ("" if f.origin == "built-in" else self.tr(" (yours)")), f.name) for f in files])
        chart = self._chart()
        if chart is not None:
            self.material.offer([(m, m) for m in dict.fromkeys(row.material for row in chart.rows)])

    def _chart(self) -> CutChart | None:
        try:
            return chart_named(self.session.job.chart) if self.session.job else None
        except KerfproofError:
            return None

    def _usual(self, job: Job) -> Any:
        """Return the chart row without the person's own values, None if there is none."""
        bare = replace(job, amps=None, kerf=None, feed_mm_min=None, pierce_delay_s=None, leads=LeadChoice())
        try:
            return api.process_of(replace(bare, amps=job.amps), chart_named(job.chart), machine_named(job.machine))
        except KerfproofError:
            return None

    # --- changes ------------------------------------------------------------------------------------------

    def _tried(self, rows: QVBoxLayout, key: str, label: str, field: _Field) -> _Field:
        """Put a field into a column that changes a key of the job if machine and chart can do so.

        One that may be empty shows what the chart's row says instead.
        """
        rows.addWidget(field)
        field.changed.connect(lambda value: self._try(field, label, **{key: value}))
        self._bound.append((field, key, key if getattr(field, "may_be_empty", False) else ""))
        return field

    def _lead(self, rows: QVBoxLayout, key: str, field: _Field, usual: str = "") -> _Field:
        """Put a field into a column that changes the leads of the job; without a value the row's `usual` holds."""
        rows.addWidget(field)
        field.changed.connect(lambda value: self._try_lead(field, **{key: value}))
        self._of_leads.append((field, key, usual or key))
        return field

    def _try(self, field: QuantityField | ChoiceField, label: str, **values: Any) -> None:
        """Take a value if machine and chart know what to do with it; else say why at the field."""
        job = self.session.job
        if job is None:
            return
        new = replace(job, **values)

        def check() -> None:
            machine: Machine = machine_named(new.machine)
            api.resolve(new, api.Shop(machine, chart_named(new.chart))).check()
            self.session.edit(new, label)

        guarded(field, check, self.session.shown_inches)
        if self.session.job != new and not isinstance(field, QuantityField):
            said = field.said.text()
            self.refresh()
            field.complain(said)

    def _try_lead(self, field: QuantityField | ChoiceField, **values: Any) -> None:
        job = self.session.job
        if job is not None:
            self._try(field, self.tr("leads"), leads=replace(job.leads, **values))


def _rules(text: str) -> Any:
    """Return the choices that a text of ``rule = severity: reason; ...`` makes."""
    pairs = [part.partition("=") for part in text.split(";") if part.strip()]
    said = {rule.strip(): words.strip() for rule, _, words in pairs}
    known = {page.name for page in rules()}
    for rule in said:
        if rule not in known:
            raise KerfproofError(f"there is no rule {rule!r}", advice="the findings and the guide name them")
    return RuleChoices().read(said)


def _rules_text(choices: Any) -> str:
    return "; ".join(f"{rule} = {said}" for rule, said in RuleChoices().write(choices).items())
