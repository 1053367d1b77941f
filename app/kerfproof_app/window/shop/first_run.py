"""The first start: cautions, then a machine of one's own in three short pages. Nothing of it is forced on anyone."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from pydantic.fields import FieldInfo
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QButtonGroup, QLineEdit, QStackedWidget, QTextBrowser, QWidget

from kerfproof.api import dialects
from kerfproof.shop.file_model import FileModel, key_of, nested, path
from kerfproof.shop.machine_file import MachineFile
from kerfproof_app.window.shop.guide_text import page_text
from kerfproof_app.window.shop.key_field import KeyField
from kerfproof_app.window.shop.machine_draft import START, TOUCH_OFF, UNITS, MachineDraft
from kerfproof_app.window.shop.shop_document import MACHINES, Keys
from kerfproof_app.window.shop.shop_editor import use_in_job
from kerfproof_app.window.widgets.page_parts import (
    Part,
    TextLabel,
    column_layout,
    gap,
    heading,
    line_label,
    page_of,
    push_button,
    row_layout,
    scrolled,
)
from kerfproof_app.work.session import Session

ABOVE = (0, 8, 0, 0)
"""Room above a question."""
_TRAVEL: tuple[Keys, ...] = (("table", "travel_x"), ("table", "travel_y"), ("z", "travel"))
_FLOAT: tuple[Keys, ...] = (("touch_off", "float"), ("touch_off", "float_stroke"))
_LIGHT: tuple[Keys, ...] = (("torch", "light_delay"),)
_CONTROL: tuple[Keys, ...] = (("control", "dialect"), ("z", "homed"))


class FirstRun(QWidget):
    """Five pages. `finished` tells the name of the machine made, empty if it was left for later."""

    finished = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("First start"))
        self.draft = MachineDraft(session.shown_inches)
        self.fields: list[KeyField] = []
        self.pages = QStackedWidget()
        self.step = line_label(look="faint")
        self.said = TextLabel(look="said")
        self.later = push_button(
            self.tr("Not now"),
            lambda: self.finished.emit(""),
            self.tr("Work with the built-in machine; this can be done at any time"),
        )
        self.back = push_button(self.tr("Back"), lambda: self.turn(-1))
        self.on = push_button("", lambda: self.turn(1), look="export")
        self.on.setDefault(True)
        for page in (self._cautions(), self._start(), self._ways(), self._control(), self._done()):
            self.pages.addWidget(page)
        below = row_layout(self.later, (self.step, 1, Qt.AlignmentFlag.AlignCenter), self.back, self.on)
        column_layout((self.pages, 1), self.said, below, parent=self, margins=(24, 16, 24, 16))
        self._refresh()

    # --- the pages --------------------------------------------------------------------------------------------

    def _page(self, title: str, text: str, *parts: Part) -> QWidget:
        above = heading(title, (0, 0, 0, 0), times=1.6), TextLabel(text, look="faint")
        page = page_of(column_layout(*above, *parts, 1, margins=(0, 0, 12, 0), spacing=8))
        return scrolled(page, takes_focus=True)

    def _cautions(self) -> QWidget:
        text = QTextBrowser()
        text.setFrameShape(QTextBrowser.Shape.NoFrame)
        text.setAccessibleName(self.tr("Cautions"))
        text.setMarkdown(page_text("cautions"))
        return text

    def _start(self) -> QWidget:
        self.starts = _Cards(self, START, {
            "contact": (self.tr("Contact start"), self.tr("The tip must touch the plate to light.")),
            "pilot": (self.tr("Pilot arc"), self.tr("An arc jumps over to the plate; the tip must not touch.")),
        })  # fmt: skip
        self.finds = _Cards(self, TOUCH_OFF, {
            "float": (self.tr("Floating head"), self.tr("The head rides on a switch that trips under its weight.")),
            "ohmic": (self.tr("Sense circuit"), self.tr("A circuit through the tip feels the plate; fixed head.")),
            "none": (self.tr("By hand"), self.tr("You set Z zero on the plate before each program.")),
        })  # fmt: skip
        return self._page(
            self.tr("How does your torch light, and how is the plate found?"),
            self.tr("This decides how every single cut begins. The words can be changed later in the machine's file."),
            heading(self.tr("The torch"), ABOVE), *self.starts.buttons(),
            heading(self.tr("The head"), ABOVE), *self.finds.buttons(),
        )  # fmt: skip

    def _ways(self) -> QWidget:
        return self._page(
            self.tr("How far does it go?"),
            self.tr(
                "Lengths take units: 48 in, 1200 mm. What you have not measured yet may stay for now; the last page"
                " says what to measure before the first cut."
            ),
            *self._added((*_TRAVEL, *_FLOAT, *_LIGHT)),
        )

    def _control(self) -> QWidget:
        self.units = _Cards(self, UNITS, {
            "mm": (self.tr("Millimetres"), self.tr("Programs say G21.")),
            "inch": (self.tr("Inches"), self.tr("Programs say G20.")),
        })  # fmt: skip
        self.name = QLineEdit(self.draft.name)
        self.name.setMaximumWidth(220)
        self.name.setAccessibleName(self.tr("Name of your machine"))
        self.name.textEdited.connect(self._named)
        return self._page(
            self.tr("What does your control read?"), self.tr("Look into the handbook of the control if in doubt."),
            heading(self.tr("Units of programs"), ABOVE), *self.units.buttons(), gap(10),
            *self._added(_CONTROL), line_label(self.tr("name of your machine"), look="heading"), self.name,
        )  # fmt: skip

    def _done(self) -> QWidget:
        self.summary = TextLabel()
        self.summary.setTextFormat(Qt.TextFormat.MarkdownText)
        return self._page(self.tr("Before the first cut"), "", self.summary)

    def _added(self, wanted: tuple[Keys, ...]) -> list[KeyField]:
        choices = {"control.dialect": {name: f"{name}: {d.title}" for name, d in dialects().items()}}
        added = [KeyField(keys, info_of(keys), choices.get(path(keys))) for keys in wanted]
        for field in added:
            if field.keys == ("z", "travel"):
                field.name.setText(self.tr("travel z"))
            field.edited.connect(partial(self.answer, field.keys))
        self.fields += added
        return added

    # --- answers ----------------------------------------------------------------------------------------------

    def answer(self, keys: Keys, value: object) -> None:
        """Take an answer of the person."""
        self.draft.answer(keys, value)
        self._refresh()

    def _named(self, name: str) -> None:
        self.draft.call(name)
        self._refresh()

    def _refresh(self) -> None:
        """Show fields, mistakes and what the buttons do now."""
        wrong = self.draft.mistakes()
        for field in self.fields:
            field.show_value(self.draft.document.get(field.keys))
            field.show_mistake(wrong.pop(path(field.keys), ""))
            if field.keys in _FLOAT:
                field.setVisible(self.draft.floats)
        page, last = self.pages.currentIndex(), self.pages.count() - 1
        self.step.setText(self.tr("{0} of {1}").format(page + 1, last + 1))
        self.back.setEnabled(page > 0)
        words = {0: self.tr("I have read this"), last: self.tr("Make this my machine")}
        self.on.setText(words.get(page, self.tr("Go on")))
        mistakes = self.draft.mistakes()
        self.on.setEnabled(page < last or not mistakes)
        loose = [f"{path}: {sentence}" for path, sentence in wrong.items()]
        shown = loose if page >= 2 else []
        if page == last and mistakes:
            shown = [f"{path.replace('_', ' ')}: {sentence}" for path, sentence in mistakes.items()]
        self.said.say("\n".join(shown))
        self.summary.setText(self._summary())

    def _summary(self) -> str:
        floats = self.draft.floats
        lines = [self.tr("Your machine is ready to try. It is a starting point until you have measured:"), ""]
        if floats:
            lines.append(self.tr("1. **The float**: from the trip of the switch up until a slip of paper comes free."))
        else:
            lines.append(self.tr("1. **The touch-off**: touch the plate twice; both readings must agree."))
        lines += [
            self.tr("2. **The light-up**: from torch word to arc, cold and warm, the longest of ten."),
            self.tr("3. **Z travel and accelerations**: what the axes do without losing steps."),
            self.tr("4. **The kerf**: cut a slot, measure it, put it into your own chart."),
            "",
            self.tr("First run without an arc: frame, then dry, then scrap. The guide says how for each of these."),
        ]
        return "\n\n".join(line for line in lines if line)

    # --- turning ----------------------------------------------------------------------------------------------

    def turn(self, way: int) -> None:
        """Go to the next page (1) or back (-1); after the last the machine is written."""
        page = self.pages.currentIndex()
        if page == self.pages.count() - 1 and way > 0:
            self._write()
            return
        self.pages.setCurrentIndex(min(max(page + way, 0), self.pages.count() - 1))
        self._refresh()

    def _write(self) -> None:
        with self.said.refusals():
            file = self.draft.write()
            use_in_job(self.session, MACHINES, file.name)
            self.begin()
            self.finished.emit(file.name)

    def begin(self) -> None:
        """Begin anew at the first page."""
        self.draft = MachineDraft(self.session.shown_inches)
        self.name.setText(self.draft.name)
        for group in (self.starts, self.finds, self.units):
            group.refresh()
        self.pages.setCurrentIndex(0)
        self._refresh()


class _Cards(QButtonGroup):
    """The answers to one question, by the value that each stands for: title and text of its card."""

    def __init__(self, asked: FirstRun, keys: Keys, choices: Mapping[str, tuple[str, str]]) -> None:
        super().__init__(asked)
        self.asked, self.keys = asked, keys
        for value, (title, text) in choices.items():
            card = push_button(f"{title}\n{text}", partial(self._chosen, value), look="card")
            card.setCheckable(True)
            card.setMinimumHeight(3 * asked.fontMetrics().lineSpacing() + 8)
            card.setProperty("value", value)
            card.setAccessibleName(title)
            card.setAccessibleDescription(text)
            self.addButton(card)
        self.refresh()

    def _chosen(self, value: str, _on: bool = True) -> None:
        self.asked.answer(self.keys, value)

    def refresh(self) -> None:
        """Show the answer that the draft has."""
        for card in self.buttons():
            card.setChecked(card.property("value") == self.asked.draft.answers[self.keys])


def info_of(keys: Keys) -> FieldInfo:
    """Return the field of the machine file under some keys."""
    model: type[FileModel] = MachineFile
    info: FieldInfo | None = None
    for part in keys:
        info = next(i for n, i in model.model_fields.items() if key_of(n, i) == part)
        model = nested(info) or model
    assert info is not None
    return info
