"""The page of test pieces: choose what is to be measured, export the proven piece, type what the calipers say."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFileDialog,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QWidget,
)

from kerfproof.coupon.piece import Coupon, kind_of, kinds
from kerfproof.errors import KerfproofError, Severity, Watch
from kerfproof.job.job import Job
from kerfproof.sentence import Phrase, say
from kerfproof.units import format_length
from kerfproof_app.shop import store
from kerfproof_app.shop.load_shop import machine_named, shop_for
from kerfproof_app.shop.test_pieces import bench_of, piece_in, sizes_of
from kerfproof_app.window.shop.readings_form import ReadingsForm
from kerfproof_app.window.shop.shop_document import CHARTS, MACHINES
from kerfproof_app.window.shop.shop_editor import use_in_job
from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.fields import CountField, TextField
from kerfproof_app.window.widgets.page_parts import (
    column_layout,
    fill,
    heading,
    push_button,
    row_layout,
    scrolled,
    text_label,
)
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.words import translated
from kerfproof_app.work.opening import new_job
from kerfproof_app.work.saving import write_program
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

KIND = Qt.ItemDataRole.UserRole
ORDER = ("kerf", "feed", "pierce", "start", "hole", "float", "square")
WIDEST = 820
"""Fields and sentences of the page are no wider than this (pixels), so that they stay readable."""
SIZED, COUNTED, VARIED = ("kerf", "hole", "square"), ("feed", "pierce", "start", "float"), ("start",)
"""Kinds whose sizes, number or varied settings can be chosen."""
VARY = ("light-delay", "preload", "rise-feed", "pierce-height")
MOST = 30


class CouponPage(Panel):
    """Kinds at the left; at the right what to make, and what was read. `changed` tells that a shop file was written."""

    follows = (Change.JOB, Change.UNITS)

    changed = Signal()

    def __init__(self, session: Session, background: BackgroundWork, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.background = background
        background.idle.connect(self._ready)
        self.piece: Coupon | None = None
        self.setAccessibleName(self.tr("Test pieces"))
        self.kinds = QListWidget()
        self.kinds.setAccessibleName(self.tr("Kinds of test pieces"))
        self.kinds.setMaximumWidth(200)
        self.kinds.setSpacing(2)
        there = kinds()
        words = self._kind_words()
        for name in sorted(there, key=lambda name: (ORDER.index(name) if name in ORDER else len(ORDER), name)):
            item = QListWidgetItem(words.get(name, name))
            item.setData(KIND, name)
            item.setToolTip(self.session.said(translated(there[name].title)))
            self.kinds.addItem(item)
        self.kinds.currentRowChanged.connect(lambda _row: self._picked())
        row = row_layout(self, (8, 8, 8, 8))
        row.addWidget(self.kinds)
        row.addWidget(scrolled(self._page()), 1)
        self.kinds.setCurrentRow(0)

    def _kind_words(self) -> dict[str, str]:
        return {
            "kerf": self.tr("Kerf"), "feed": self.tr("Feed"), "pierce": self.tr("Pierce delay"),
            "start": self.tr("Starts"), "hole": self.tr("Holes"), "float": self.tr("Float"),
            "square": self.tr("Squareness and scale"),
        }  # fmt: skip

    def _page(self) -> QWidget:
        page = QWidget()
        page.setMaximumWidth(WIDEST)
        rows = column_layout(page, (12, 0, 12, 12), 4)
        self.title = text_label()
        self.made_for = text_label(look="faint")
        self.sizes = TextField(
            self.tr("Sizes"), self._sizes, self._sizes_text, usual=self.tr("as usual"),
            tip=self.tr("For example 20,30,40 mm. Empty: as usual for this plate"),
        )  # fmt: skip
        self.sizes.changed.connect(self.sizes.show_value)
        self.count = CountField(self.tr("How many"), MOST, none=self.tr("as usual"))
        self.varied = QLabel(self.tr("Vary these (none chosen: all that this machine has):"))
        self.vary = {name: QCheckBox(words) for name, words in self._vary_words().items()}
        self.make = push_button(self.tr("Make the piece and export it ..."), self.make_piece)
        self.said = text_label(look="said")
        self.guide = text_label()
        self.guide.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        fill(rows, self.title, heading(self.tr("1. Cut it")))
        for widget in (self.made_for, self.sizes, self.count, self.varied, *self.vary.values()):
            rows.addWidget(widget)
        rows.addWidget(self.make, 0, Qt.AlignmentFlag.AlignLeft)
        fill(rows, self.said, self.guide, heading(self.tr("2. Measure it and type what you read")))
        self.program = text_label(look="faint")
        self.choose = push_button(self.tr("Choose the program of the piece ..."), self.ask_program)
        self.form = ReadingsForm(self.session)
        self.form.saved.connect(self._saved)
        rows.addWidget(self.program)
        rows.addWidget(self.choose, 0, Qt.AlignmentFlag.AlignLeft)
        rows.addWidget(self.form)
        rows.addStretch(1)
        return page

    def _vary_words(self) -> dict[str, str]:
        words = (self.tr("light delay"), self.tr("preload"), self.tr("rise feed"), self.tr("pierce height"))
        return dict(zip(VARY, words, strict=True))

    # --- what is shown ----------------------------------------------------------------------------------------

    @property
    def kind(self) -> str:
        """The kind chosen."""
        item = self.kinds.currentItem()
        return str(item.data(KIND)) if item is not None else ORDER[0]

    def choose_kind(self, name: str) -> None:
        """Choose a kind by its name."""
        for row in range(self.kinds.count()):
            if self.kinds.item(row).data(KIND) == name:
                self.kinds.setCurrentRow(row)

    @property
    def job(self) -> Job:
        """The job whose machine, chart and plate the piece is for; without one as a new job would have them."""
        return self.session.job or new_job()

    def refresh(self) -> None:
        """Show for what the piece would be made."""
        job = self.job
        self.made_for.setText(
            self.tr("For machine {machine}, chart {chart}, {thickness} {material}, as the settings have them.").format(
                machine=job.machine,
                chart=job.chart,
                thickness=format_length(job.thickness, self.session.shown_inches),
                material=job.material,
            )
        )

    def _picked(self) -> None:
        kind = kind_of(self.kind)
        title = self.session.said(translated(kind.title))
        self.title.setText(f"{title[:1].upper()}{title[1:]}.")
        self.sizes.setVisible(kind.name in SIZED)
        self.count.setVisible(kind.name in COUNTED)
        self.varied.setVisible(kind.name in VARIED)
        for box in self.vary.values():
            box.setVisible(kind.name in VARIED)
            box.setChecked(False)
        self.sizes.show_value(())
        self.count.show_value(0)
        self._say("")
        self._guide("")
        self._forget()
        self.refresh()

    def _say(self, text: Phrase) -> None:
        self.said.setText(self.session.said(text))
        self.said.setVisible(bool(text))

    def _guide(self, text: str) -> None:
        self.guide.setText(text)
        self.guide.setVisible(bool(text))

    def _forget(self) -> None:
        self.program.setText(self.tr("The program knows what was cut; choose it, or make the piece."))
        self.form.show_piece(None, "")

    def _sizes(self, text: str) -> tuple[float, ...]:
        return sizes_of(text, "in" if self.session.shown_inches else "mm") if text else ()

    def _sizes_text(self, sizes: tuple[float, ...] | None) -> str:
        return ", ".join(format_length(v, self.session.shown_inches) for v in sizes or ())

    # --- making it --------------------------------------------------------------------------------------------

    def make_piece(self) -> None:
        """Make the piece off the window's thread and ask where its program goes."""
        self.sizes.commit()
        if not self.sizes.said.isHidden():
            return
        job, kind = self.job, kind_of(self.kind)
        sizes = self.sizes.value if kind.name in SIZED else ()
        count = (self.count.spin.value() or None) if kind.name in COUNTED else None
        vary = [name for name, box in self.vary.items() if box.isChecked()] if kind.name in VARIED else []

        def work(watch: Watch) -> Coupon:
            watch("planning the test piece", 0.0)
            return kind.make(bench_of(job, shop_for(job.machine, job.chart), sizes, count, vary))

        self._say("")
        self.make.setEnabled(False)
        self.background.do(work, self._made, self._failed)

    def _ready(self) -> None:
        self.make.setEnabled(True)

    def _failed(self, error: KerfproofError) -> None:
        self._say(error.phrase())

    def _made(self, piece: Coupon) -> None:
        self.piece = piece
        errors = [f.problem for f in piece.findings if f.severity is Severity.ERROR]
        if errors:
            self._say(say(self.tr("The piece is not proven, so it is not written: {why}."), why=errors[0]))
            return
        dialog = QFileDialog(self, self.tr("Export the test piece"), str(self._folder()))
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(f"{piece.kind}-piece{machine_named(self.job.machine).extension}")
        dialog.fileSelected.connect(lambda name: self.write_piece(Path(name)))
        dialog.open()

    def _folder(self) -> Path:
        kept = str(self.session.memory.get("export_folder", ""))
        return Path(kept) if kept and Path(kept).is_dir() else Path.home()

    def write_piece(self, path: Path) -> None:
        """Write the piece made last, say what to do with it, and ask for its readings."""
        piece = self.piece
        if piece is None or not piece.ok:
            return
        if not path.suffix:
            path = path.with_name(path.name + machine_named(self.job.machine).extension)
        try:
            done = write_program(piece.program.text, path)
        except KerfproofError as error:
            self._say(error.phrase())
            return
        self._guide("\n".join([self.tr("Proven and written: {path}").format(path=done.path), *map(str, piece.guide)]))
        self.read_program(done.path)

    # --- reading it -------------------------------------------------------------------------------------------

    def ask_program(self) -> None:
        """Ask for the program of a piece that was cut."""
        dialog = QFileDialog(self, self.tr("Choose the program of the piece"), str(self._folder()))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(lambda name: self.read_program(Path(name)))
        dialog.open()

    def read_program(self, path: Path) -> None:
        """Ask for the readings of the piece that a program cuts."""
        self._say("")
        try:
            piece = piece_in(store.read_text(path), str(path))
        except KerfproofError as error:
            self._forget()
            self._say(error.phrase())
            return
        if piece.kind.name != self.kind:
            self.choose_kind(piece.kind.name)
        self.program.setText(self.tr("Readings of {path}").format(path=path))
        self.form.show_piece(piece, str(path))

    def _saved(self, folder: str, name: str) -> None:
        kind = CHARTS if folder == CHARTS.folder else MACHINES
        job = self.session.job
        if job is not None and getattr(job, kind.word) != name:
            use_in_job(self.session, kind, name)
        self.changed.emit()
