"""The window: three questions on top, the plate in the middle, their pages beside it, the program's time below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QTabWidget, QWidget

from kerfproof.sentence import Phrase
from kerfproof_app.window import lazy_pages
from kerfproof_app.window.actions import Commands
from kerfproof_app.window.files import Files
from kerfproof_app.window.findings.refusal import tell_refusal
from kerfproof_app.window.header import PAGES
from kerfproof_app.window.plate.overlay import finding_place
from kerfproof_app.window.plate.plate_commands import OnPlate
from kerfproof_app.window.widgets import theme
from kerfproof_app.window.widgets.questions import Answer
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.window.window_commands import Doing
from kerfproof_app.work.session import Session

if TYPE_CHECKING:
    from kerfproof_app.window.pages.cuts_page import CutsPage
    from kerfproof_app.window.pages.part_page import PartPage
    from kerfproof_app.window.pages.resume_page import GoingOn
    from kerfproof_app.window.pages.side_exports import SideExports
    from kerfproof_app.window.pages.start_page import StartPage
    from kerfproof_app.window.pages.torch_page import TorchPage
    from kerfproof_app.window.pages.unit_question import UnitQuestion
    from kerfproof_app.window.plate.scene import Scene
    from kerfproof_app.window.program.view import ProgramView

AUTOSAVE_MS = 700
"""After an edit; a burst of edits is kept once."""


class MainWindow(Doing):
    """One window, one session. If it `opens` files at once, the page of a window with nothing open is not made."""

    def __init__(self, session: Session, *, opens: bool = False) -> None:
        super().__init__(session)
        self.dark = False
        self.files, self.hand = Files(self), OnPlate(self)
        self.commands = Commands(self)
        self._connect()
        self._restore()
        if not opens:
            self.refresh()

    # --- made when first wanted ---------------------------------------------------------------------------

    @cached_property
    def part_page(self) -> PartPage:
        """The page "is it the part I drew"."""
        return lazy_pages.part_page(self)

    @cached_property
    def torch_tabs(self) -> QTabWidget:
        """The pages of "what will the torch do": `torch_page`, `cuts_page` and `program`."""
        return lazy_pages.torch_tabs(self)

    @cached_property
    def torch_page(self) -> TorchPage:
        """The settings of the cut."""
        return lazy_pages.torch_page(self)

    @cached_property
    def cuts_page(self) -> CutsPage:
        """Leads and order."""
        return lazy_pages.cuts_page(self)

    @cached_property
    def program(self) -> ProgramView:
        """The program's text."""
        from kerfproof_app.window.program.view import ProgramView

        return ProgramView(self.session)

    @cached_property
    def start(self) -> StartPage:
        """What is shown with nothing open."""
        return lazy_pages.start_page(self)

    @cached_property
    def unit(self) -> UnitQuestion:
        """The question of a drawing's unit."""
        return lazy_pages.unit_question(self)

    @cached_property
    def beside(self) -> SideExports:
        """What is written beside the program."""
        from kerfproof_app.window.pages.side_exports import SideExports

        return SideExports(self)

    @cached_property
    def going_on(self) -> GoingOn:
        """Going on in the middle of a program."""
        from kerfproof_app.window.pages.resume_page import GoingOn

        return GoingOn(self)

    def _connect(self) -> None:
        bridge = self.bridge
        for signal in (bridge.job, bridge.outcome, bridge.state, bridge.units):
            signal.connect(self.refresh)
        bridge.units.connect(self.hand.tell_place)
        for signal in (bridge.units, bridge.outcome):
            signal.connect(self.under.clear)  # it was said of another state, or in the other unit
        bridge.selection.connect(self._selected)
        bridge.question.connect(self._asked)
        bridge.notice.connect(self._noticed)
        self.worker.made.connect(self.show_scene)
        self.worker.sketched.connect(self.canvas.show_sketch)
        self.worker.progress.connect(self.header.show_progress)
        self.worker.idle.connect(lambda: self.header.show_progress("", 0.0))
        self.aside.progress.connect(self._told_aside)
        self.aside.idle.connect(self.statusBar().clearMessage)
        self.header.chosen.connect(self.show_page)
        self.header.export_wanted.connect(self.export)
        self.header.stop_wanted.connect(self.worker.cancel)
        self.canvas.pointed.connect(self.hand.pointed)
        self.canvas.asked_menu.connect(self.hand.menu)
        self.findings.field_wanted.connect(lambda key: self.show_machine("", key))
        self.findings.rule_wanted.connect(self.show_rule)
        self.findings.drawing_wanted.connect(self.ask_add)
        self.findings.place_wanted.connect(self.hand.fly_to_drawn)
        self.shop_pages.left.connect(self.refresh)
        self.shop_pages.changed.connect(self.session.plan_again)
        self.shop_pages.tour_wanted.connect(self._tour)
        self._autosave = QTimer(self)
        self._autosave.setSingleShot(True)
        self._autosave.setInterval(AUTOSAVE_MS)
        self._autosave.timeout.connect(self.session.keep)
        self.session.keep_later = self._autosave.start

    def _restore(self) -> None:
        memory = self.session.memory
        self.show_theme(str(memory.get("theme", "system")))
        geometry = memory.get("geometry", "")
        if not geometry or not self.restoreGeometry(QByteArray.fromBase64(geometry.encode())):
            self.resize(1360, 860)
        for name, splitter in (("across", self.across), ("column", self.column)):
            kept = memory.get(name, "")
            if kept:
                splitter.restoreState(QByteArray.fromBase64(kept.encode()))
        self.trace.setVisible(bool(memory.get("trace", True)))
        self.show_page(str(memory.get("page", "safe")))
        self.commands["side"].setChecked(bool(memory.get("side", True)))

    # --- what is shown ------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show what there is to show."""
        session = self.session
        star = "*" if session.unsaved else ""
        self.setWindowTitle(f"{session.name}{star} – Kerfproof" if session.name else "Kerfproof")
        if not self.shop_pages.shown:
            self._turn_to(session)
        self.commands.refresh()
        self.question.show_inches(session.shown_inches)
        self.question.drop_over()
        tell_refusal(self)

    def _turn_to(self, session: Session) -> None:
        """Show the page for what is open now."""
        page: QWidget = self.across
        if session.question is not None:
            page = self.unit
        elif session.version is None and session.opening is None:
            page = self.start
        if self.stack.currentWidget() is page:
            return
        self.stack.setCurrentWidget(page)
        if page is not self.across and session.question is None:
            self.start.refresh()
            self.start.open.setFocus()

    def show_scene(self, scene: Scene) -> None:
        """Show a new picture."""
        first = self.canvas.scene is None
        self.canvas.show_scene(scene)
        if first:
            self.canvas.setFocus()

    def show_page(self, page: str) -> None:
        """Show the page of one of the three questions."""
        page = page if page in PAGES else "safe"
        self.header.choose(page)
        self.side.setCurrentWidget(self._page(page))
        self.commands["side"].setChecked(True)
        self.session.memory.put("page", page)
        if self.shop_pages.shown:
            self.shop_pages.leave()

    def _page(self, name: str) -> QWidget:
        if name == "part":
            return self.part_page
        return self.torch_tabs if name == "torch" else self.findings

    def show_side(self, on: bool) -> None:
        """Show the side panel or not."""
        self.side.setVisible(on)
        self.session.memory.put("side", on)

    def show_trace(self, on: bool) -> None:
        """Show the height trace or not."""
        self.trace.setVisible(on)
        self.session.memory.put("trace", on)

    def show_layer(self, field: str, on: bool) -> None:
        """Show one kind of thing on the plate or not."""
        self.canvas.show_only(replace(self.canvas.shown, **{field: on}))

    def show_unit(self, unit: str) -> None:
        """Show lengths in mm or inch."""
        self.session.show_inches(unit == "in")

    def switch_unit(self) -> None:
        """Show lengths in the other unit."""
        self.session.show_inches(not self.session.shown_inches)

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

    def _tour(self) -> None:
        from kerfproof.job.job import Mode

        self.beside.mode(Mode.TOUR)

    # --- commands -----------------------------------------------------------------------------------------

    def close_work(self) -> None:
        """Put the work away, after a question if that would lose changes."""
        self.files.unless_unsaved(self._close_work)

    def _close_work(self) -> None:
        self.question.drop_all()
        self.session.close()
        self.canvas.show_scene(None)

    def choose_machine(self) -> None:
        """Let the person choose for which machine the program is that was opened by itself."""
        self.commands.machines.popup(self.header.mapToGlobal(self.header.rect().bottomLeft()))

    # --- the end ------------------------------------------------------------------------------------------

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask in the window if changes would be lost; else put all away."""
        if self.files.asks_before_closing():
            event.ignore()
            return
        memory = self.session.memory
        memory.put("geometry", bytes(self.saveGeometry().toBase64().data()).decode())
        for name, splitter in (("across", self.across), ("column", self.column)):
            memory.put(name, bytes(splitter.saveState().toBase64().data()).decode())
        self.hide()  # the work may take a moment to stop
        self.worker.close()
        self.aside.close()
        self._autosave.stop()
        self.session.keep_later = None
        self.session.memory.forget()
        self.bridge.close()
        event.accept()
