"""The first start: cautions, then a machine of one's own in three short pages. Nothing of it is forced on anyone."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic.fields import FieldInfo
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QLabel,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from kerfproof.api import dialects
from kerfproof.errors import KerfproofError
from kerfproof.shop.file_model import FileModel, key_of, nested
from kerfproof.shop.machine_file import MachineFile
from kerfproof_app.window.shop.guide_text import page_text
from kerfproof_app.window.shop.key_field import KeyField
from kerfproof_app.window.shop.machine_draft import START, TOUCH_OFF, UNITS, MachineDraft
from kerfproof_app.window.shop.shop_document import MACHINES, Keys, key_path
from kerfproof_app.window.shop.shop_editor import use_in_job
from kerfproof_app.window.widgets.page_parts import (
    column_layout,
    fill,
    large_heading,
    push_button,
    row_layout,
    scrolled,
    text_label,
)
from kerfproof_app.work.session import Session

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
        self.step = QLabel()
        self.step.setObjectName("faint")
        self.said = text_label(look="said")
        self.later = push_button(
            self.tr("Not now"),
            lambda: self.finished.emit(""),
            self.tr("Work with the built-in machine; this can be done at any time"),
        )
        self.back = push_button(self.tr("Back"), lambda: self.turn(-1))
        self.on = QPushButton()
        self.on.setObjectName("export")
        self.on.setDefault(True)
        self.on.clicked.connect(lambda: self.turn(1))
        for page in (self._cautions(), self._start(), self._ways(), self._control(), self._done()):
            self.pages.addWidget(page)
        below = row_layout()
        below.addWidget(self.later)
        below.addWidget(self.step, 1, Qt.AlignmentFlag.AlignCenter)
        fill(below, self.back, self.on)
        rows = column_layout(self, (24, 16, 24, 16))
        rows.addWidget(self.pages, 1)
        rows.addWidget(self.said)
        rows.addLayout(below)
        self._refresh()

    # --- the pages --------------------------------------------------------------------------------------------

    def _page(self, title: str, text: str) -> tuple[QWidget, QVBoxLayout]:
        page = QWidget()
        rows = column_layout(page, (0, 0, 12, 0), 8)
        fill(rows, large_heading(title, 1.6), text_label(text, look="faint"))
        return scrolled(page, takes_focus=True), rows

    def _cautions(self) -> QWidget:
        page = QWidget()
        rows = column_layout(page, (0, 0, 0, 0))
        text = QTextBrowser()
        text.setFrameShape(QTextBrowser.Shape.NoFrame)
        text.setAccessibleName(self.tr("Cautions"))
        text.setMarkdown(page_text("cautions"))
        rows.addWidget(text)
        return page

    def _start(self) -> QWidget:
        page, rows = self._page(
            self.tr("How does your torch light, and how is the plate found?"),
            self.tr("This decides how every single cut begins. The words can be changed later in the machine's file."),
        )
        self.starts = self._cards(
            rows, self.tr("The torch"), START,
            {
                "contact": (self.tr("Contact start"), self.tr("The tip must touch the plate to light.")),
                "pilot": (self.tr("Pilot arc"), self.tr("An arc jumps over to the plate; the tip must not touch.")),
            },
        )  # fmt: skip
        self.finds = self._cards(
            rows, self.tr("The head"), TOUCH_OFF,
            {
                "float": (self.tr("Floating head"), self.tr("The head rides on a switch that trips under its weight.")),
                "ohmic": (self.tr("Sense circuit"), self.tr("A circuit through the tip feels the plate; fixed head.")),
                "none": (self.tr("By hand"), self.tr("You set Z zero on the plate before each program.")),
            },
        )  # fmt: skip
        rows.addStretch(1)
        return page

    def _ways(self) -> QWidget:
        page, rows = self._page(
            self.tr("How far does it go?"),
            self.tr(
                "Lengths take units: 48 in, 1200 mm. What you have not measured yet may stay for now; the last page"
                " says what to measure before the first cut."
            ),
        )
        self._add_fields(rows, (*_TRAVEL, *_FLOAT, *_LIGHT))
        rows.addStretch(1)
        return page

    def _control(self) -> QWidget:
        page, rows = self._page(
            self.tr("What does your control read?"), self.tr("Look into the handbook of the control if in doubt.")
        )
        self.units = self._cards(
            rows, self.tr("Units of programs"), UNITS,
            {
                "mm": (self.tr("Millimetres"), self.tr("Programs say G21.")),
                "inch": (self.tr("Inches"), self.tr("Programs say G20.")),
            },
        )  # fmt: skip
        rows.addSpacing(10)
        self._add_fields(rows, _CONTROL)
        name = QLabel(self.tr("name of your machine"))
        name.setObjectName("heading")
        self.name = QLineEdit(self.draft.name)
        self.name.setMaximumWidth(220)
        self.name.setAccessibleName(self.tr("Name of your machine"))
        self.name.textEdited.connect(self._named)
        fill(rows, name, self.name)
        rows.addStretch(1)
        return page

    def _done(self) -> QWidget:
        page, rows = self._page(self.tr("Before the first cut"), "")
        self.summary = text_label()
        self.summary.setTextFormat(Qt.TextFormat.MarkdownText)
        rows.addWidget(self.summary)
        rows.addStretch(1)
        return page

    def _cards(self, rows: QVBoxLayout, about: str, keys: Keys, choices: Mapping[str, tuple[str, str]]) -> QButtonGroup:
        group = QButtonGroup(self)
        group.setExclusive(True)
        heading = QLabel(about)
        heading.setObjectName("heading")
        heading.setContentsMargins(0, 8, 0, 0)
        rows.addWidget(heading)
        for value, (title, text) in choices.items():
            card = QPushButton(f"{title}\n{text}")
            card.setObjectName("card")
            card.setCheckable(True)
            card.setChecked(self.draft.answers[keys] == value)
            card.setMinimumHeight(3 * self.fontMetrics().lineSpacing() + 8)
            card.setProperty("value", value)
            card.setAccessibleName(title)
            card.setAccessibleDescription(text)
            card.clicked.connect(lambda _on=False, value=value: self._answer(keys, value))
            group.addButton(card)
            rows.addWidget(card)
        return group

    def _add_fields(self, rows: QVBoxLayout, wanted: tuple[Keys, ...]) -> None:
        choices = {"control.dialect": {name: f"{name}: {d.title}" for name, d in dialects().items()}}
        for keys in wanted:
            field = KeyField(keys, info_of(keys), choices.get(key_path(keys)))
            if keys == ("z", "travel"):
                field.name.setText(self.tr("travel z"))
            field.edited.connect(lambda value, keys=keys: self._answer(keys, value))
            self.fields.append(field)
            rows.addWidget(field)

    # --- answers ----------------------------------------------------------------------------------------------

    def _answer(self, keys: Keys, value: object) -> None:
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
            field.show_mistake(wrong.pop(key_path(field.keys), ""))
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
        self.said.setText("\n".join(shown))
        self.said.setVisible(bool(shown))
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
        try:
            file = self.draft.write()
        except KerfproofError as error:
            self.said.setText(str(error))
            self.said.show()
            return
        use_in_job(self.session, MACHINES, file.name)
        self.begin()
        self.finished.emit(file.name)

    def begin(self) -> None:
        """Begin anew at the first page."""
        self.draft = MachineDraft(self.session.shown_inches)
        self.name.setText(self.draft.name)
        for group, keys in ((self.starts, START), (self.finds, TOUCH_OFF), (self.units, UNITS)):
            for card in group.buttons():
                card.setChecked(card.property("value") == self.draft.answers[keys])
        self.pages.setCurrentIndex(0)
        self._refresh()


def info_of(keys: Keys) -> FieldInfo:
    """Return the field of the machine file under some keys."""
    model: type[FileModel] = MachineFile
    info: FieldInfo | None = None
    for part in keys:
        info = next(i for n, i in model.model_fields.items() if key_of(n, i) == part)
        model = nested(info) or model
    assert info is not None
    return info
