"""The page "what will the torch do": machine, chart row and what differs from it, leads, order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from kerfproof import api
from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job, LeadChoice, Mode, Order, Rests
from kerfproof.report.data.rule_pages import rules
from kerfproof.shop.chart import CutChart
from kerfproof.shop.profile import Machine
from kerfproof.shop.spelling import RuleChoices
from kerfproof_app.shop import store
from kerfproof_app.shop.load_shop import chart_named, machine_named
from kerfproof_app.window.pages.program_facts import ByItself
from kerfproof_app.window.pages.tip_line import TipLine
from kerfproof_app.window.widgets.fields import CURRENT, FEED, TIME, ChoiceField, QuantityField, Row, guarded
from kerfproof_app.window.widgets.more_fields import CountField, TextField
from kerfproof_app.window.widgets.panel import Panel, heading, scrolled
from kerfproof_app.window.widgets.words import plural
from kerfproof_app.work.session import Session

MOST_TABS = 100


class TorchPage(Panel):
    """Machine, process and leads of the whole job. `machine_wanted` and `chart_wanted` ask for the editors."""

    machine_wanted = Signal(str)
    chart_wanted = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        inner = QWidget()
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(14, 4, 14, 14)
        rows.setSpacing(4)
        self._shop(rows)
        self._process(rows)
        self._leads(rows)
        self._order(rows)
        self._tabs(rows)
        self._rest(rows)
        rows.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        self.fields, self.alone = scrolled(inner), ByItself()
        outer.addWidget(self.fields)
        outer.addWidget(self.alone)
        self.refresh()

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
        for field, key, label in (
            (self.machine, "machine", self.tr("machine")), (self.chart, "chart", self.tr("cut chart")),
            (self.material, "material", self.tr("material")), (self.thickness, "thickness", self.tr("thickness")),
            (self.amps, "amps", self.tr("current")),
        ):  # fmt: skip
            field.changed.connect(lambda v, f=field, k=key, t=label: self._try(f, t, **{k: v}))
            rows.addWidget(field)
        self.edit_machine = QPushButton(self.tr("Machine ..."))
        self.edit_machine.setToolTip(self.tr("See and change the machine's file"))
        self.edit_machine.clicked.connect(lambda: self.machine_wanted.emit(self.machine.box.currentData() or ""))
        self.edit_chart = QPushButton(self.tr("Cut chart ..."))
        self.edit_chart.setToolTip(self.tr("See and change the chart's file"))
        self.edit_chart.clicked.connect(lambda: self.chart_wanted.emit(self.chart.box.currentData() or ""))
        row = QHBoxLayout()
        row.addWidget(self.edit_machine)
        row.addWidget(self.edit_chart)
        row.addStretch(1)
        rows.addLayout(row)
        self.source = QLabel()
        self.source.setObjectName("faint")
        self.source.setWordWrap(True)
        rows.addWidget(self.source)

    def _process(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Cut")))
        self.kerf = QuantityField(
            self.tr("Kerf"), above=0.0, tip=self.tr("Width of the slot; empty: as the chart says")
        )
        self.feed = QuantityField(self.tr("Feed"), FEED, above=0.0, tip=self.tr("Empty: as the chart says"))
        self.delay = QuantityField(
            self.tr("Pierce delay"), TIME, least=0.0, tip=self.tr("From the lit arc to the first motion")
        )
        self.kerf.changed.connect(lambda v: self._try(self.kerf, self.tr("kerf"), kerf=v))
        self.feed.changed.connect(lambda v: self._try(self.feed, self.tr("feed"), feed_mm_min=v))
        self.delay.changed.connect(lambda v: self._try(self.delay, self.tr("pierce delay"), pierce_delay_s=v))
        self.mode = ChoiceField(
            self.tr("Program"),
            [(self.tr("cuts"), Mode.CUT), (self.tr("dry run, torch off, raised"), Mode.DRY),
             (self.tr("frame of the work, raised"), Mode.FRAME),
             (self.tr("tour of the pierces, raised"), Mode.TOUR)],
        )  # fmt: skip
        self.mode.changed.connect(lambda v: self.session.change(self.tr("kind of program"), mode=v))
        self.sharp = QCheckBox(self.tr("Outside corners by loops, sharp"))
        self.sharp.toggled.connect(lambda on: self.session.change(self.tr("sharp corners"), sharp_corners=on))
        for field in (self.kerf, self.feed, self.delay, self.mode, self.sharp):
            rows.addWidget(field)

    def _leads(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Leads of all features")))
        shapes = [(self.tr(title), name) for name, title in api.lead_shapes().items()]
        self.shape = ChoiceField(
            self.tr("Shape"), [(self.tr("the best that fits"), None), *shapes],
            self.tr("For all features where it fits; single ones under Leads and order"),
        )  # fmt: skip
        self.shape.changed.connect(lambda v: self._lead(self.shape, shape=v))
        rows.addWidget(self.shape)
        self.radius = QuantityField(self.tr("Arc radius"), above=0.0)
        self.straight = QuantityField(self.tr("Straight length"), above=0.0)
        self.out = QuantityField(self.tr("Lead-out"), least=0.0)
        self.burn = QuantityField(self.tr("Over-burn, outline"), least=0.0)
        self.burn_hole = QuantityField(self.tr("Over-burn, hole"), least=0.0)
        for field, key in (
            (self.radius, "radius"), (self.straight, "straight"), (self.out, "lead_out"),
            (self.burn, "over_burn_outline"), (self.burn_hole, "over_burn_hole"),
        ):  # fmt: skip
            field.changed.connect(lambda v, f=field, k=key: self._lead(f, **{k: v}))
            rows.addWidget(field)

    def _order(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Order")))
        self.order = ChoiceField(
            self.tr("Order"),
            [(self.tr("part by part"), Order.PARTS), (self.tr("all holes, then outlines"), Order.HOLES_FIRST)],
        )
        self.order.changed.connect(lambda v: self.session.change(self.tr("order"), order=v))
        self.spread = QCheckBox(self.tr("Spread out, for thin sheet"))
        self.spread.toggled.connect(lambda on: self.session.change(self.tr("spread out"), spread=on))
        rows.addWidget(self.order)
        rows.addWidget(self.spread)

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
        self.tabs.changed.connect(lambda v: self.session.change(self.tr("tabs"), tabs=v))
        self.tab_width.changed.connect(lambda v: self.session.change(self.tr("width of tabs"), tab_width=v))
        self.by_hand = QLabel()
        self.by_hand.setObjectName("faint")
        self.by_hand.setWordWrap(True)
        self.no_tabs = QPushButton(self.tr("Take the tabs set by hand away"))
        self.no_tabs.clicked.connect(lambda: self.session.change(self.tr("no tabs by hand"), tab_places=()))
        for widget in (self.tabs, self.tab_width, self.by_hand):
            rows.addWidget(widget)
        rows.addWidget(self.no_tabs, 0, Qt.AlignmentFlag.AlignLeft)

    def _rest(self, rows: QVBoxLayout) -> None:
        rows.addWidget(heading(self.tr("Duty, tip and rules")))
        self.rests = ChoiceField(
            self.tr("Rests"),
            [(self.tr("only a warning"), Rests.TELL), (self.tr("stops between cuts"), Rests.STOP),
             (self.tr("waits between cuts"), Rests.DWELL)],
            self.tr("Where the torch is on longer than its rating or the air allow"),
        )  # fmt: skip
        self.rests.changed.connect(lambda v: self.session.change(self.tr("rests"), rests=v))
        self.rules = TextField(
            self.tr("Rules otherwise"), _rules, _rules_text, usual=self.tr("all as usual"),
            tip=self.tr("For example line-too-long = note: why; travel-too-low = off: why. Each needs a reason."),
        )  # fmt: skip
        self.rules.changed.connect(lambda v: self.session.change(self.tr("rules that count otherwise"), rules=v))
        self.tip = TipLine(self.session)
        for widget in (self.rests, self.rules, self.tip):
            rows.addWidget(widget)

    # --- what the job says --------------------------------------------------------------------------------

    def told(self, word: str) -> None:
        """Show the job anew."""
        if word in ("job", "outcome", "units", "state"):
            self.refresh()

    def refresh(self) -> None:
        """Show what the job says, and what chart and machine say instead."""
        job = self.session.job
        self.fields.setVisible(not self.alone.show_for(self.session))
        self.fields.setEnabled(job is not None)
        if job is None:
            return
        inches = self.session.shown_inches
        self._offer()
        self.machine.show_value(job.machine)
        self.chart.show_value(job.chart)
        self.material.show_value(job.material)
        self.thickness.show_value(job.thickness, None, inches)
        usual = self._usual(job)
        self.amps.show_value(job.amps, usual.amps if usual else None)
        self.kerf.show_value(job.kerf, usual.kerf if usual else None, inches)
        self.feed.show_value(job.feed_mm_min, usual.feed_mm_min if usual else None, inches)
        self.delay.show_value(job.pierce_delay_s, usual.pierce_delay_s if usual else None)
        self.source.setText((usual.source or "") if usual else "")
        self.source.setVisible(bool(self.source.text()))
        self.mode.show_value(job.mode)
        self.order.show_value(job.order)
        leads = job.leads
        self.shape.show_value(leads.shape)
        self.radius.show_value(leads.radius, usual.lead_radius if usual else None, inches)
        self.straight.show_value(leads.straight, usual.lead_straight if usual else None, inches)
        self.out.show_value(leads.lead_out, usual.lead_out if usual else None, inches)
        self.burn.show_value(leads.over_burn_outline, usual.over_burn_outline if usual else None, inches)
        self.burn_hole.show_value(leads.over_burn_hole, usual.over_burn_hole if usual else None, inches)
        self.tabs.show_value(job.tabs)
        self.tab_width.show_value(job.tab_width, None, inches)
        count = len(job.tab_places)
        self.by_hand.setText(
            plural(count, self.tr("1 is set by hand."), self.tr("{n} are set by hand."))
            if count
            else self.tr("By hand: click on an outline, then Cut, Set a tab here.")
        )
        self.no_tabs.setVisible(bool(count))
        self.rests.show_value(job.rests)
        self.rules.show_value(job.rules)
        for box, on in ((self.sharp, job.sharp_corners), (self.spread, job.spread)):
            box.blockSignals(True)
            box.setChecked(on)
            box.blockSignals(False)

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

    def _try(self, field: Row, label: str, **values: Any) -> None:
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

    def _lead(self, field: Row, **values: Any) -> None:
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
