"""The page "what will the torch do": machine, chart row and what differs from it, leads, order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

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
        self.machine = ChoiceField(self.tr("Machine"))
        self.chart = ChoiceField(self.tr("Cut chart"))
        self.material = ChoiceField(self.tr("Material"))
        self.thickness = QuantityField(
            self.tr("Thickness"), may_be_empty=False, above=0.0, tip=self.tr("For example 3 mm, 1/8 in, 0.12 in")
        )
        self.amps = QuantityField(self.tr("Current"), CURRENT, above=0.0, tip=self.tr("Empty: as the chart says"))
        for field, key, label, usual in (
            (self.machine, "machine", self.tr("machine"), ""), (self.chart, "chart", self.tr("cut chart"), ""),
            (self.material, "material", self.tr("material"), ""),
            (self.thickness, "thickness", self.tr("thickness"), ""), (self.amps, "amps", self.tr("current"), "amps"),
        ):  # fmt: skip
            self._bind_tried(rows, field, key, label, usual)
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
        self.kerf = QuantityField(
            self.tr("Kerf"), above=0.0, tip=self.tr("Width of the slot; empty: as the chart says")
        )
        self.feed = QuantityField(self.tr("Feed"), FEED, above=0.0, tip=self.tr("Empty: as the chart says"))
        self.delay = QuantityField(
            self.tr("Pierce delay"), TIME, least=0.0, tip=self.tr("From the lit arc to the first motion")
        )
        self._bind_tried(rows, self.kerf, "kerf", self.tr("kerf"), "kerf")
        self._bind_tried(rows, self.feed, "feed_mm_min", self.tr("feed"), "feed_mm_min")
        self._bind_tried(rows, self.delay, "pierce_delay_s", self.tr("pierce delay"), "pierce_delay_s")
        self.mode = ChoiceField(
            self.tr("Program"),
            [(self.tr("cuts"), Mode.CUT), (self.tr("dry run, torch off, raised"), Mode.DRY),
             (self.tr("frame of the work, raised"), Mode.FRAME),
             (self.tr("tour of the pierces, raised"), Mode.TOUR)],
        )  # fmt: skip
        self.bind(rows, self.mode, "mode", self.tr("kind of program"))
        self.sharp = TickField(self.tr("Outside corners by loops, sharp"))
        self.bind(rows, self.sharp, "sharp_corners", self.tr("sharp corners"))

    def _leads(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Leads of all features")))
        shapes = [(self.tr(title), name) for name, title in api.lead_shapes().items()]
        self.shape = ChoiceField(
            self.tr("Shape"), [(self.tr("the best that fits"), None), *shapes],
            self.tr("For all features where it fits; single ones under Leads and order"),
        )  # fmt: skip
        self.radius = QuantityField(self.tr("Arc radius"), above=0.0)
        self.straight = QuantityField(self.tr("Straight length"), above=0.0)
        self.out = QuantityField(self.tr("Lead-out"), least=0.0)
        self.burn = QuantityField(self.tr("Over-burn, outline"), least=0.0)
        self.burn_hole = QuantityField(self.tr("Over-burn, hole"), least=0.0)
        for field, key, usual in (
            (self.shape, "shape", ""), (self.radius, "radius", "lead_radius"),
            (self.straight, "straight", "lead_straight"), (self.out, "lead_out", "lead_out"),
            (self.burn, "over_burn_outline", "over_burn_outline"),
            (self.burn_hole, "over_burn_hole", "over_burn_hole"),
        ):  # fmt: skip
            field.changed.connect(lambda v, f=field, k=key: self._lead(f, **{k: v}))
            self._of_leads.append((field, key, usual))
            rows.addWidget(field)

    def _order(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Order")))
        self.order = ChoiceField(
            self.tr("Order"),
            [(self.tr("part by part"), Order.PARTS), (self.tr("all holes, then outlines"), Order.HOLES_FIRST)],
        )
        self.bind(rows, self.order, "order", self.tr("order"))
        self.spread = TickField(self.tr("Spread out, for thin sheet"))
        self.bind(rows, self.spread, "spread", self.tr("spread out"))

    def _tabs(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Tabs")))
        self.tabs = CountField(
            self.tr("In each outline"), MOST_TABS, none=self.tr("none"),
            tip=self.tr("Small bridges that hold the parts in the sheet, cut by hand later"),
        )  # fmt: skip
        self.tab_width = QuantityField(
            self.tr("Width"), above=0.0, tip=self.tr("Metal that a tab leaves; empty: by thickness")
        )
        self.tab_width.empty = self.tr("by thickness")
        self.bind(rows, self.tabs, "tabs", self.tr("tabs"))
        self.bind(rows, self.tab_width, "tab_width", self.tr("width of tabs"))
        self.by_hand = TextLabel(look="faint")
        self.no_tabs = push_button(
            self.tr("Take the tabs set by hand away"),
            lambda: self.session.change(self.tr("no tabs by hand"), tab_places=()),
        )
        fill(rows, self.by_hand, left(self.no_tabs))

    def _rest(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Duty, tip and rules")))
        self.rests = ChoiceField(
            self.tr("Rests"),
            [(self.tr("only a warning"), Rests.TELL), (self.tr("stops between cuts"), Rests.STOP),
             (self.tr("waits between cuts"), Rests.DWELL)],
            self.tr("Where the torch is on longer than its rating or the air allow"),
        )  # fmt: skip
        self.bind(rows, self.rests, "rests", self.tr("rests"))
        self.rules = TextField(
            self.tr("Rules otherwise"), _rules, _rules_text, usual=self.tr("all as usual"),
            tip=self.tr("For example line-too-long = note: why; travel-too-low = off: why. Each needs a reason."),
        )  # fmt: skip
        self.bind(rows, self.rules, "rules", self.tr("rules that count otherwise"))
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

    def _bind_tried(
        self, rows: QVBoxLayout, field: QuantityField | ChoiceField, key: str, label: str, usual: str
    ) -> None:
        rows.addWidget(field)
        field.changed.connect(lambda value: self._try(field, label, **{key: value}))
        self._bound.append((field, key, usual))

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

    def _lead(self, field: QuantityField | ChoiceField, **values: Any) -> None:
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
