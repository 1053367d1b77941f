"""The page of test pieces: choose what is to be measured, export the proven piece, type what the calipers say."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QLabel, QWidget

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
from kerfproof_app.window.widgets.file_dialogs import ask_where, ask_which
from kerfproof_app.window.widgets.lists import KeyList
from kerfproof_app.window.widgets.page_parts import (
    TextLabel,
    column_layout,
    heading,
    left,
    page_of,
    push_button,
    row_layout,
    scrolled,
)
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.words import translated
from kerfproof_app.work.opening import new_job
from kerfproof_app.work.saving import write_program
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

ORDER = ("kerf", "feed", "pierce", "start", "hole", "float", "joints", "square")
WIDEST = 820
"""Fields and sentences of the page are no wider than this (pixels), so that they stay readable."""
SIZED, COUNTED, VARIED = ("kerf", "hole", "square"), ("feed", "pierce", "start", "float", "joints"), ("start",)
"""Kinds whose sizes, number or varied settings can be chosen."""
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
        self.kinds = KeyList(self.tr("Kinds of test pieces"))
        self.kinds.setMaximumWidth(200)
        self.kinds.setSpacing(2)
        words = self._kind_words()
        for name, kind in sorted(kinds().items(), key=lambda pair: ([*ORDER, pair[0]].index(pair[0]), pair[0])):
            self.kinds.add(name, words.get(name, name), self.session.said(translated(kind.title)))
        self.kinds.picked.connect(lambda _kind: self._picked())
        row_layout(self.kinds, (scrolled(self._page()), 1), parent=self, margins=(8, 8, 8, 8))
        self.kinds.setCurrentRow(0)

    def _kind_words(self) -> dict[str, str]:
        return {
            "kerf": self.tr("Kerf"), "feed": self.tr("Feed"), "pierce": self.tr("Pierce delay"),
            "start": self.tr("Starts"), "hole": self.tr("Holes"), "float": self.tr("Float"),
            "joints": self.tr("Joints"),
            "square": self.tr("Squareness and scale"),
        }  # fmt: skip

    def _page(self) -> QWidget:
        self.title = TextLabel()
        self.made_for = TextLabel(look="faint")
        self.sizes = TextField(
            self.tr("Sizes"), self._sizes, self._sizes_text, usual=self.tr("as usual"),
            tip=self.tr("For example 20,30,40 mm. Empty: as usual for this plate"),
        )  # fmt: skip
        self.sizes.changed.connect(self.sizes.show_value)
        self.count = CountField(self.tr("How many"), MOST, none=self.tr("as usual"))
        self.varied = QLabel(self.tr("Vary these (none chosen: all that this machine has):"))
        self.vary = {name: QCheckBox(words) for name, words in self._vary_words().items()}
        self.make = push_button(self.tr("Make the piece and export it ..."), self.make_piece)
        self.said = TextLabel(look="said")
        self.guide = TextLabel()
        self.guide.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.program = TextLabel(look="faint")
        self.choose = push_button(self.tr("Choose the program of the piece ..."), self.ask_program)
        self.form = ReadingsForm(self.session)
        self.form.saved.connect(self._saved)
        rows = column_layout(
            self.title, heading(self.tr("1. Cut it")), self.made_for, self.sizes, self.count, self.varied,
            *self.vary.values(), left(self.make), self.said, self.guide,
            heading(self.tr("2. Measure it and type what you read")), self.program, left(self.choose), self.form, 1,
            margins=(12, 0, 12, 12), spacing=4,
        )  # fmt: skip
        page = page_of(rows)
        page.setMaximumWidth(WIDEST)
        return page

    def _vary_words(self) -> dict[str, str]:
        return {
            "light-delay": self.tr("light delay"), "preload": self.tr("preload"), "rise-feed": self.tr("rise feed"),
            "pierce-height": self.tr("pierce height"),
        }  # fmt: skip

    # --- what is shown ----------------------------------------------------------------------------------------

    @property
    def kind(self) -> str:
        """The kind chosen."""
        return self.kinds.key or ORDER[0]

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
        self.guide.say("")
        self._forget()
        self.refresh()

    def _say(self, text: Phrase) -> None:
        self.said.say(self.session.said(text))

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
        start = self._folder() / f"{piece.kind}-piece{machine_named(self.job.machine).extension}"
        ask_where(self, self.tr("Export the test piece"), start, lambda path, _kind: self.write_piece(path))

    def _folder(self) -> Path:
        kept = str(self.session.memory.get("export_folder", ""))
        return Path(kept) if kept and Path(kept).is_dir() else Path.home()

    def write_piece(self, path: Path) -> None:
        """Write the piece made last, say what to do with it, and ask for its readings."""
        piece = self.piece
        if piece is None or not piece.ok:
            return
        with self.said.refusals(self.session.said):
            done = write_program(piece.program.text, path, machine_named(self.job.machine).extension)
            written = self.tr("Proven and written: {path}").format(path=done.path)
            self.guide.say("\n".join([written, *map(str, piece.guide)]))
            self.read_program(done.path)

    # --- reading it -------------------------------------------------------------------------------------------

    def ask_program(self) -> None:
        """Ask for the program of a piece that was cut."""
        title = self.tr("Choose the program of the piece")
        ask_which(self, title, self._folder(), "", lambda paths: self.read_program(paths[0]), several=False)

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
            self.kinds.choose(piece.kind.name)
        self.program.setText(self.tr("Readings of {path}").format(path=path))
        self.form.show_piece(piece, str(path))

    def _saved(self, folder: str, name: str) -> None:
        kind = CHARTS if folder == CHARTS.folder else MACHINES
        job = self.session.job
        if job is not None and getattr(job, kind.word) != name:
            use_in_job(self.session, kind, name)
        self.changed.emit()
