"""The window: three questions on top, the plate in the middle, their pages beside it, the program's time below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, Qt, QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow, QStackedWidget, QWidget

from kerfproof.job.job import Mode
from kerfproof.sentence import Phrase
from kerfproof_app.window.commands.menus import Commanded, Menus
from kerfproof_app.window.commands.plan_refusal import tell_refusal
from kerfproof_app.window.commands.plate_menu import show_plate_menu
from kerfproof_app.window.files.exports import Exports
from kerfproof_app.window.files.job_files import JobFiles
from kerfproof_app.window.header import PAGES, Header
from kerfproof_app.window.planning_worker import PlanningWorker
from kerfproof_app.window.plate.paint.overlay import finding_place
from kerfproof_app.window.plate.plate_commands import PlateCommands
from kerfproof_app.window.shop_pages import ShopPages
from kerfproof_app.window.widgets import theme
from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.drop_sign import DropSign
from kerfproof_app.window.widgets.page_parts import column_layout, page_of
from kerfproof_app.window.widgets.questions import Answer, QuestionBar
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.window.work_area import WorkArea
from kerfproof_app.window.work_pages import WorkPages
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:  # a scene is of a plan, which is loaded after a drawing is seen
    from kerfproof_app.window.plate.scene.plate_scene import Scene

SMALLEST = (960, 620)
AUTOSAVE_MS = 700
"""After an edit; a burst of edits is kept once."""


class MainWindow(QMainWindow):
    """One window, one session. If it `opens` files at once, the page of a window with nothing open is not made."""

    def __init__(self, session: Session, *, opens: bool = False) -> None:
        super().__init__()
        self.session = session
        self.dark = False
        self.setObjectName("main")
        self.setWindowTitle("Kerfproof")
        self.setMinimumSize(*SMALLEST)
        self.worker = PlanningWorker(session, self)
        self.background = BackgroundWork(self)
        self.header = Header(session)
        self.question = QuestionBar()
        self.area = WorkArea(session)
        self.canvas = self.area.canvas
        self.stack = QStackedWidget()
        self.stack.addWidget(self.area)
        self.shop_pages = ShopPages(session, self.stack, self.background)
        self.plate_commands = PlateCommands(self.canvas)
        self.files = JobFiles(self, self.shop_pages)
        self.exports = Exports(self, self.area, self.files, self.background)
        self.pages = WorkPages(self.stack, self.area, self.plate_commands, self.files, self.shop_pages, self.worker)
        self._lay()
        self.drop_sign = DropSign(self, self._second_field)
        self._pointed_at: tuple[float, float] | None = None
        self.commands = Menus(
            Commanded(
                self, self.header, self.area, self.plate_commands, self.files, self.exports,
                self.pages, self.shop_pages, self.worker, self.show_page, self.show_theme,
            )
        )  # fmt: skip
        self._connect()
        self._restore()
        if not opens:
            self.refresh()

    def _lay(self) -> None:
        middle = column_layout(self.header, self.question, (self.stack, 1), margins=(0, 0, 0, 0), spacing=0)
        self.setCentralWidget(page_of(middle))
        self.place = QLabel()
        self.place.setMinimumWidth(220)
        self.under = QLabel()
        self.under.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        self.statusBar().addWidget(self.under, 1)
        self.statusBar().addPermanentWidget(self.place)

    def _connect(self) -> None:
        session, findings, shop_pages = self.session, self.area.findings, self.shop_pages
        self._stop_listening = session.listen(self._told)
        self.worker.made.connect(self._show_scene)
        self.worker.sketched.connect(self.canvas.show_sketch)
        self.worker.progress.connect(self.header.show_progress)
        self.worker.idle.connect(lambda: self.header.show_progress("", 0.0))
        self.background.progress.connect(self._told_aside)
        self.background.idle.connect(self.statusBar().clearMessage)
        self.header.chosen.connect(self.show_page)
        self.header.export_wanted.connect(self.exports.program.export)
        self.header.stop_wanted.connect(self.worker.cancel)
        self.canvas.pointed.connect(self._pointed)
        self.canvas.asked_menu.connect(lambda event: show_plate_menu(event, self.canvas, self.commands, self.pages))
        findings.field_wanted.connect(lambda key: shop_pages.show_machine("", key))
        findings.rule_wanted.connect(shop_pages.show_rule)
        findings.drawing_wanted.connect(self.files.ask_add)
        findings.place_wanted.connect(self.plate_commands.fly_to_drawn)
        shop_pages.left.connect(self.refresh)
        shop_pages.changed.connect(session.plan_again)
        shop_pages.tour_wanted.connect(lambda: self.exports.beside.mode(Mode.TOUR))
        self.drop_sign.dropped.connect(lambda paths, add: self.files.open(paths, add=add))
        self._autosave = QTimer(self)
        self._autosave.setSingleShot(True)
        self._autosave.setInterval(AUTOSAVE_MS)
        self._autosave.timeout.connect(session.keep)
        session.keep_later = self._autosave.start

    def _restore(self) -> None:
        memory = self.session.memory
        self.show_theme(str(memory.get("theme", "system")))
        geometry = memory.get("geometry", "")
        if not geometry or not self.restoreGeometry(QByteArray.fromBase64(geometry.encode())):
            self.resize(1360, 860)
        self.area.restore()
        self.show_page(str(memory.get("page", "safe")))
        self.commands["side"].setChecked(bool(memory.get("side", True)))

    def _second_field(self) -> str:
        """Return what a drawing dropped on the right half does; empty with nothing open."""
        if self.session.document is None:
            return ""
        return self.tr("Add it to this job") if self.session.job is not None else self.tr("Compare the program with it")

    @property
    def widget(self) -> QWidget:
        """What dialogs stand over."""
        return self

    # --- what is shown ------------------------------------------------------------------------------------

    def _told(self, change: Change) -> None:
        if change in (Change.JOB, Change.OUTCOME, Change.STATE, Change.UNITS):
            self.refresh()
        if change is Change.UNITS:
            self._tell_place()
        if change in (Change.UNITS, Change.OUTCOME):
            self.under.clear()  # it was said of another state, or in the other unit
        elif change is Change.SELECTION:
            self._selected()
        elif change is Change.QUESTION:
            self._asked()
        elif change is Change.NOTICE:
            self._noticed()

    def refresh(self) -> None:
        """Show what there is to show."""
        session = self.session
        star = "*" if session.unsaved else ""
        self.setWindowTitle(f"{session.name}{star} – Kerfproof" if session.name else "Kerfproof")
        if not self.shop_pages.shown:
            self.pages.turn_to_open()
        self.commands.refresh()
        self.question.show_inches(session.shown_inches)
        self.question.drop_over()
        tell_refusal(self, self.commands, self.area, self.pages, self.shop_pages)

    def _show_scene(self, scene: Scene) -> None:
        first = self.canvas.scene is None
        self.canvas.show_scene(scene)
        if first:
            self.canvas.setFocus()

    def show_page(self, page: str) -> None:
        """Show the page of one of the three questions."""
        page = page if page in PAGES else "safe"
        self.header.choose(page)
        self.pages.show_beside(page)
        self.commands["side"].setChecked(True)
        self.session.memory.put("page", page)
        if self.shop_pages.shown:
            self.shop_pages.leave()

    def show_theme(self, name: str) -> None:
        """Take a theme: system, light or dark."""
        name = name if name in theme.THEMES else "system"
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        self.dark = theme.apply(app, name)
        self.canvas.set_dark(self.dark)
        self.session.memory.put("theme", name)
        self.commands[f"theme_{name}"].setChecked(True)

    # --- words --------------------------------------------------------------------------------------------

    def _noticed(self) -> None:
        session = self.session
        text, number, waits = session.noticed, session.number, session.noticed == session.why_not()

        def over() -> bool:
            return session.number != number or session.noticed != text or (waits and session.why_not() != text)

        self.question.drop_over()
        if text:
            again = [(tr("Check again"), session.plan_again)] if waits and session.stopped else []
            self.question.ask(text, again, weight="warning", over=over)

    def tell(self, text: Phrase, answers: Sequence[Answer] = (), *, weight: str = "") -> None:
        """Tell or ask something of the job as it is now; it goes when the job is another."""
        session, number = self.session, self.session.number
        self.question.ask(text, answers, weight=weight, over=lambda: session.number != number)

    def _told_aside(self, stage: str, share: float) -> None:
        self.statusBar().showMessage(f"{tr(stage)} {share * 100:.0f} %")

    def _asked(self) -> None:
        self.question.drop_all()
        self.refresh()

    def _selected(self) -> None:
        self.commands.refresh()
        finding = self.session.selection.finding
        if finding is not None and self.canvas.scene is not None:
            at = finding_place(self.canvas, finding)
            if at is not None:
                self.canvas.fly_to(*at, scale=4.0)

    def tell_briefly(self, text: str) -> None:
        """Tell something in the line below for a while."""
        self.statusBar().showMessage(text, 6000)

    def _pointed(self, x: float, y: float, words: str) -> None:
        """Tell under the plate where the pointer is and on what."""
        self._pointed_at = x, y
        self._tell_place()
        self.under.setText(words)

    def _tell_place(self) -> None:
        """Tell the place of the pointer in the unit that is shown."""
        if self._pointed_at is None:
            return
        x, y = self._pointed_at
        if self.session.shown_inches:
            self.place.setText(f"x {x / 25.4:.4f}   y {y / 25.4:.4f} in")
        else:
            self.place.setText(f"x {x:.2f}   y {y:.2f} mm")

    # --- the end ------------------------------------------------------------------------------------------

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask in the window if changes would be lost; else put all away."""
        if self.files.asks_before_closing():
            event.ignore()
            return
        memory = self.session.memory
        memory.put("geometry", bytes(self.saveGeometry().toBase64().data()).decode())
        self.area.remember()
        self.hide()  # the work may take a moment to stop
        self.worker.close()
        self.background.close()
        self._autosave.stop()
        self.session.keep_later = None
        self.session.memory.forget()
        self._stop_listening()
        event.accept()
