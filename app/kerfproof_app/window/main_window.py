"""The window: three questions on top, the plate in the middle, their pages beside it, the program's time below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QByteArray, QEvent, Qt, QTimer
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QKeyEvent,
    QMouseEvent,
)
from PySide6.QtWidgets import (
    QApplication,
    QLabel,
    QMainWindow,
    QMenu,
    QSplitter,
    QStackedWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from kerfproof.errors import NothingToCut
from kerfproof.job import Mode
from kerfproof_app.session import Session
from kerfproof_app.window import theme
from kerfproof_app.window.actions import Commands
from kerfproof_app.window.aside import Aside
from kerfproof_app.window.ask import QuestionBar
from kerfproof_app.window.bridge import Bridge
from kerfproof_app.window.canvas import Canvas
from kerfproof_app.window.cuts_page import CutsPage
from kerfproof_app.window.drop_sign import DropSign
from kerfproof_app.window.files import Files
from kerfproof_app.window.findings_list import problem_words
from kerfproof_app.window.findings_panel import FindingsPanel
from kerfproof_app.window.going_on import GoingOn
from kerfproof_app.window.header import Header
from kerfproof_app.window.height_trace import HeightTrace
from kerfproof_app.window.look import Look
from kerfproof_app.window.measure import Measure
from kerfproof_app.window.overlay import finding_place
from kerfproof_app.window.part_page import PartPage
from kerfproof_app.window.pick_order import PickOrder
from kerfproof_app.window.program_view import ProgramView
from kerfproof_app.window.scene import Scene
from kerfproof_app.window.scrubber import Scrubber
from kerfproof_app.window.shop_pages import ShopPages
from kerfproof_app.window.side_exports import SideExports
from kerfproof_app.window.start_page import StartPage
from kerfproof_app.window.torch_page import TorchPage
from kerfproof_app.window.unit_question import UnitQuestion
from kerfproof_app.window.worker import Worker
from kerfproof_resources import drawing_names

SMALLEST = (960, 620)
AUTOSAVE_MS = 700
"""After an edit; a burst of edits is kept once."""


class MainWindow(QMainWindow):
    """One window, one session."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.dark = False
        self.setObjectName("main")
        self.setWindowTitle("Kerfproof")
        self.setAcceptDrops(True)
        self.setMinimumSize(*SMALLEST)
        self.bridge = Bridge(session, self)
        self.worker = Worker(session, self)
        self.aside = Aside(self)
        self._build()
        self.files = Files(self)
        self.beside, self.going_on = SideExports(self), GoingOn(self)
        self.commands = Commands(self)
        self._connect()
        self._restore()
        self.refresh()
        self.start.open.setFocus()

    # --- made of ------------------------------------------------------------------------------------------

    def _build(self) -> None:
        session = self.session
        self.header = Header(session)
        self.question = QuestionBar()
        self.canvas = Canvas(session)
        self.scrubber = Scrubber(session)
        self.trace = HeightTrace(session)
        self.part_page, self.torch_page, self.cuts_page = PartPage(session), TorchPage(session), CutsPage(session)
        self.program, self.findings = ProgramView(session), FindingsPanel(session)
        self.torch_tabs = QTabWidget()
        self.torch_tabs.setDocumentMode(True)
        self.torch_tabs.addTab(self.torch_page, self.tr("Settings"))
        self.torch_tabs.addTab(self.cuts_page, self.tr("Leads and order"))
        self.torch_tabs.addTab(self.program, self.tr("Program"))
        self.side = QStackedWidget()
        self.pages: dict[str, QWidget] = {"part": self.part_page, "torch": self.torch_tabs, "safe": self.findings}
        for page in self.pages.values():
            self.side.addWidget(page)
        self.side.setMinimumWidth(330)
        below = QWidget()
        rows = QVBoxLayout(below)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.scrubber)
        rows.addWidget(self.trace)
        self.trace.setMinimumHeight(70)
        self.column = QSplitter(Qt.Orientation.Vertical)
        self.column.addWidget(self.canvas)
        self.column.addWidget(below)
        self.column.setStretchFactor(0, 1)
        self.column.setCollapsible(0, False)
        self.column.setSizes([700, 150])
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.across.addWidget(self.column)
        self.across.addWidget(self.side)
        self.across.setStretchFactor(0, 1)
        self.across.setCollapsible(0, False)
        self.across.setCollapsible(1, False)
        self.across.setSizes([940, 390])
        self.start = StartPage(session, drawing_names())
        self.unit = UnitQuestion(session)
        self.stack = QStackedWidget()
        for widget in (self.start, self.unit, self.across):
            self.stack.addWidget(widget)
        self.shop_pages = ShopPages(session, self.stack, self.aside)
        middle = QWidget()
        all_rows = QVBoxLayout(middle)
        all_rows.setContentsMargins(0, 0, 0, 0)
        all_rows.setSpacing(0)
        all_rows.addWidget(self.header)
        all_rows.addWidget(self.question)
        all_rows.addWidget(self.stack, 1)
        self.setCentralWidget(middle)
        self._last: tuple[float, float] | None = None
        self.place = QLabel()
        self.place.setMinimumWidth(220)
        self.under = QLabel()
        self.under.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        self.statusBar().addWidget(self.under, 1)
        self.statusBar().addPermanentWidget(self.place)
        self.drop_sign = DropSign(self)

    def _connect(self) -> None:
        bridge = self.bridge
        for signal in (bridge.job, bridge.outcome, bridge.state, bridge.units):
            signal.connect(self.refresh)
        bridge.units.connect(self._tell_place)
        for signal in (bridge.units, bridge.outcome):
            signal.connect(self.under.clear)  # it was said of another state, or in the other unit
        bridge.selection.connect(self._selected)
        bridge.question.connect(self._asked)
        bridge.notice.connect(self._noticed)
        self.worker.made.connect(self.show_scene)
        self.worker.progress.connect(self.header.show_progress)
        self.worker.idle.connect(lambda: self.header.show_progress("", 0.0))
        self.aside.progress.connect(self._told_aside)
        self.aside.idle.connect(self.statusBar().clearMessage)
        self.header.chosen.connect(self.show_page)
        self.header.export_wanted.connect(self.export)
        self.header.stop_wanted.connect(self.worker.cancel)
        self.canvas.pointed.connect(self._pointed)
        self.canvas.asked_menu.connect(self._menu)
        self.part_page.add_wanted.connect(self.ask_add)
        self.torch_page.machine_wanted.connect(self.show_machine)
        self.torch_page.chart_wanted.connect(self.show_chart)
        self.torch_page.alone.drawing_wanted.connect(self.ask_add)
        self.cuts_page.pick_wanted.connect(self.pick_order)
        self.cuts_page.lead_wanted.connect(self.hold_lead)
        self.findings.field_wanted.connect(lambda key: self.show_machine("", key))
        self.findings.rule_wanted.connect(self.show_rule)
        self.findings.drawing_wanted.connect(self.ask_add)
        self.unit.answered.connect(self.refresh)
        self.start.open_wanted.connect(self.ask_open)
        self.start.file_wanted.connect(lambda path: self.open_files([path]))
        self.start.demo_wanted.connect(self.open_demo)
        self.start.set_up_wanted.connect(self.show_first_run)
        self.shop_pages.left.connect(self.refresh)
        self.shop_pages.changed.connect(self.session.plan_again)
        self.shop_pages.tour_wanted.connect(lambda: self.beside.mode(Mode.TOUR))
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
            page: QWidget = self.across
            if session.question is not None:
                page = self.unit
            elif session.version is None:
                page = self.start
            if self.stack.currentWidget() is not page:
                if page is self.start:
                    self.start.refresh()
                self.stack.setCurrentWidget(page)
                if page is self.start:
                    self.start.open.setFocus()
        if session.outcome is None:
            self.cuts_page.show_scene(None)
        self.commands.refresh()
        self._problem()

    def _problem(self) -> None:
        """Say why the job can't be planned, beside the words what to do about it."""
        problem = self.session.problem if self.session.state == "failed" else None
        if problem is None:
            return
        answers = []
        if self.session.job is None:
            answers.append((self.tr("Choose the machine"), self.choose_machine))
        elif problem.where and problem.where.endswith((".toml", "(built-in)")):
            machine = self.session.job.machine
            answers.append((self.tr("Mend the machine"), lambda: self.show_machine(machine)))
        else:
            part = isinstance(problem, NothingToCut) or "--units" in problem.advice
            words = self.tr("What is drawn") if part else self.tr("Settings")
            answers.append((words, self._show_drawn if part else self._show_settings))
        if self.session.undo_label:
            answers.append((self.tr("Undo"), self.session.undo))
        self.question.ask(problem_words(problem), answers, weight="error")

    def _show_drawn(self) -> None:
        self.show_page("part")

    def _show_settings(self) -> None:
        self.show_page("torch")
        self.torch_tabs.setCurrentIndex(0)

    def show_scene(self, scene: Scene) -> None:
        """Show a new picture."""
        first = self.canvas.scene is None
        self.canvas.show_scene(scene)
        self.cuts_page.show_scene(scene)
        if self.question.asks and self.session.state == "current" and self.question.property("weight") == "error":
            self.question.drop_all()
        if first:
            self.canvas.setFocus()

    def show_page(self, page: str) -> None:
        """Show the page of one of the three questions."""
        if page not in self.pages:
            page = "safe"
        self.header.choose(page)
        self.side.setCurrentWidget(self.pages[page])
        self.commands["side"].setChecked(True)
        self.session.memory.put("page", page)
        if self.shop_pages.shown:
            self.shop_pages.leave()

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

    def show_machine(self, name: str = "", key: str = "") -> None:
        """Open the machine editor, at a field if one is named."""
        job = self.session.job
        self.shop_pages.show_machine(name or (job.machine if job else ""), key)

    def show_chart(self, name: str = "") -> None:
        """Open the chart editor."""
        job = self.session.job
        self.shop_pages.show_chart(name or (job.chart if job else ""))

    def show_first_run(self) -> None:
        """Open the short way to a table of one's own."""
        self.shop_pages.show_first_run()

    def show_guide(self, page: str) -> None:
        """Open a page of the guide."""
        self.shop_pages.show_guide(page)

    def show_rule(self, rule: str) -> None:
        """Open the page of a rule."""
        self.shop_pages.show_rule(rule)

    # --- words --------------------------------------------------------------------------------------------

    def _noticed(self) -> None:
        text = self.session.notice
        if text:
            self.question.ask(text, weight="warning")

    def _told_aside(self, stage: str, share: float) -> None:
        self.statusBar().showMessage(f"{stage} {share * 100:.0f} %")

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

    def _pointed(self, x: float, y: float, words: str) -> None:
        self._last = x, y
        self._tell_place()
        self.under.setText(words)

    def _tell_place(self) -> None:
        if self._last is None:
            return
        x, y = self._last
        if self.session.shown_inches:
            self.place.setText(f"x {x / 25.4:.4f}   y {y / 25.4:.4f} in")
        else:
            self.place.setText(f"x {x:.2f}   y {y:.2f} mm")

    # --- commands -----------------------------------------------------------------------------------------

    def ask_open(self) -> None:
        """Let the person choose files."""
        self.files.ask_open()

    def ask_add(self) -> None:
        """Let the person choose drawings to add, or to compare a program with."""
        self.files.ask_open(add=True)

    def open_files(self, paths: Sequence[Path], *, add: bool = False) -> None:
        """Open files, after a question if that would lose changes."""
        self.files.open(paths, add=add)

    def open_demo(self, name: str) -> None:
        """Open a drawing that comes with the program."""
        self.files.open_demo(name)

    def save(self) -> None:
        """Save the job."""
        self.files.save()

    def save_as(self) -> None:
        """Save the job under another name."""
        self.files.save_as()

    def export(self) -> None:
        """Write the program to where it went last."""
        self.files.export()

    def export_as(self) -> None:
        """Write the program where the person says."""
        self.files.export_as()

    def close_work(self) -> None:
        """Put the work away, after a question if that would lose changes."""
        self.files.unless_unsaved(self._close_work)

    def _close_work(self) -> None:
        self.question.drop_all()
        self.session.close()
        self.canvas.show_scene(None)
        self.cuts_page.show_scene(None)

    def choose_machine(self) -> None:
        """Let the person choose for which machine the program is that was opened by itself."""
        self.commands.machines.popup(self.header.mapToGlobal(self.header.rect().bottomLeft()))

    def select_all(self) -> None:
        """Select all features."""
        if self.session.outcome is not None:
            self.session.select(tuple(f.number for f in self.session.outcome.parts.features))

    def fly_to_selection(self) -> None:
        """Bring what is selected into view."""
        scene, chosen = self.canvas.scene, set(self.session.selection.features)
        if scene is None or not chosen:
            return
        boxes = scene.features.boxes[[k for k, n in enumerate(scene.features.owner.tolist()) if n in chosen]]
        low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        self.canvas.look_at((float(low[0]), float(low[1]), float(high[0]), float(high[1])))

    def measure(self) -> None:
        """Take the measure in hand, or put it away."""
        now = self.canvas.tool
        self.canvas.take(Look(self.canvas) if isinstance(now, Measure) else Measure(self.canvas))
        self.canvas.setFocus()

    def pick_order(self) -> None:
        """Pick the order on the plate."""
        self.canvas.take(PickOrder(self.canvas))
        self.canvas.setFocus()

    def move_lead(self) -> None:
        """Take the lead of the selected cut in hand."""
        if self.session.selection.features:
            self.hold_lead(self.session.selection.features[0])

    def hold_lead(self, feature: int) -> None:
        """Take the lead of a feature in hand, for the arrow keys."""
        look = Look(self.canvas)
        self.canvas.take(look)
        self.canvas.setFocus()
        look.grab(feature)

    def canvas_key(self, key: str) -> None:
        """Press a key on the plate."""
        self.canvas.setFocus()
        code = Qt.Key(ord(key))
        QApplication.sendEvent(self.canvas, QKeyEvent(QEvent.Type.KeyPress, code, Qt.KeyboardModifier.NoModifier, key))

    def _menu(self, event: QMouseEvent) -> None:
        found = self.canvas.thing_at(event.position())
        chosen = self.session.selection
        if found is not None and found.loose is not None and found.loose not in chosen.loose:
            self.session.select(loose=(found.loose,))
        elif found is not None and found.feature is not None and found.feature not in chosen.features:
            self.session.select((found.feature,))
        line = self.session.timeline
        moment = None if line is None else line.moment_near(*self.canvas.place_of(event.position()))
        if moment is not None:
            self.session.go_to(moment)
        menu = QMenu(self)
        for name in ("move_lead", "again", "pick_order", "to_selection", "fit", "measure"):
            menu.addAction(self.commands[name])
        menu.addSeparator()
        for name in ("tab", "no_tab", "go_on", "unlit"):
            menu.addAction(self.commands[name])
        chosen = self.session.selection
        if (chosen.features or chosen.loose) and self.session.job is not None:
            roles = menu.addMenu(self.tr("Make it"))
            for button in self.part_page.role_buttons.values():
                roles.addAction(button.text()).triggered.connect(button.click)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(event.globalPosition().toPoint())

    # --- files dropped ------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Show where to drop."""
        if event.mimeData().hasUrls():
            self.drop_sign.show_over(self._second_field())
            event.acceptProposedAction()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Show which half would take it."""
        self.drop_sign.aim(event.position().x())
        event.acceptProposedAction()

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        """Take the sign away."""
        self.drop_sign.hide()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open what was dropped: alone, or added to the job."""
        add = self.drop_sign.adds
        self.drop_sign.hide()
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        event.acceptProposedAction()
        if paths:
            self.open_files(paths, add=add)

    def _second_field(self) -> str:
        """Return what a drawing dropped on the right half does; empty with nothing open."""
        if self.session.version is None:
            return ""
        return self.tr("Add it to this job") if self.session.job is not None else self.tr("Compare the program with it")

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
