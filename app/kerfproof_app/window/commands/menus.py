"""All commands of the window in one table: menu, words, keys, what they do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu

from kerfproof.job.job import Mode
from kerfproof.sentence import named
from kerfproof_app.shop import store
from kerfproof_app.window.commands.tab_commands import set_tab, take_tab
from kerfproof_app.window.files.exports import Exports
from kerfproof_app.window.files.job_files import JobFiles
from kerfproof_app.window.header import Header
from kerfproof_app.window.planning_worker import PlanningWorker
from kerfproof_app.window.plate.plate_commands import PlateCommands
from kerfproof_app.window.shop_pages import ShopPages
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.window.work_area import WorkArea
from kerfproof_app.window.work_pages import WorkPages

Keys = QKeySequence.StandardKey


@dataclass(frozen=True)
class Commanded:
    """The parts of a window that its commands act on."""

    window: QMainWindow
    header: Header
    area: WorkArea
    plate: PlateCommands
    files: JobFiles
    exports: Exports
    pages: WorkPages
    shop_pages: ShopPages
    worker: PlanningWorker
    show_page: Callable[[str], None]
    show_theme: Callable[[str], None]


class Menus:
    """The commands of a window by name, in its menus."""

    def __init__(self, parts: Commanded) -> None:
        self.parts, self.session, self.window = parts, parts.area.session, parts.window
        self.by_name: dict[str, QAction] = {}
        self._file()
        self._edit()
        self._view()
        self._cut()
        self._help()

    def __getitem__(self, name: str) -> QAction:
        return self.by_name[name]

    def _menu(self, title: str) -> QMenu:
        menu: QMenu = self.window.menuBar().addMenu(title)
        menu.setToolTipsVisible(True)
        return menu

    def _add(
        self,
        menu: QMenu,
        name: str,
        words: str,
        act: Callable[..., object],
        keys: object = None,
        *,
        checked: bool | None = None,
        tip: str = "",
    ) -> QAction:
        action = QAction(words, self.window)
        action.setObjectName(name)
        if keys is not None:
            if isinstance(keys, Keys) and QKeySequence.keyBindings(keys):
                action.setShortcuts(QKeySequence.keyBindings(keys))
            else:
                action.setShortcut(QKeySequence(keys))  # type: ignore[call-overload]
        if tip:
            action.setToolTip(tip)
            action.setStatusTip(tip)
        if checked is None:
            action.triggered.connect(lambda _on=False: act())
        else:
            action.setCheckable(True)
            action.setChecked(checked)
            action.toggled.connect(act)
        menu.addAction(action)
        self.by_name[name] = action
        return action

    def _file(self) -> None:
        w = self.parts
        menu = self._menu(tr("&File"))
        self._add(menu, "open", tr("&Open ..."), w.files.ask_open, Keys.Open)
        self._add(menu, "add", tr("&Add a drawing to the job ..."), w.files.ask_add, "Ctrl+Shift+O")
        self._add(menu, "compare", tr("Co&mpare the program with a drawing ..."), w.files.ask_add)
        self.recent = menu.addMenu(tr("Open &recent"))
        self.recent.aboutToShow.connect(self._list_recent)
        menu.addSeparator()
        self._add(menu, "save", tr("&Save the job"), w.files.save, Keys.Save)
        self._add(menu, "save_as", tr("Save the &job as ..."), w.files.save_as, "Ctrl+Shift+S")
        menu.addSeparator()
        self._add(menu, "export", tr("&Export the program ..."), w.exports.program.export, "Ctrl+E")
        beside = menu.addMenu(tr("Export &beside it"))
        self._add(beside, "sheet", tr("Setup &sheet ..."), lambda: w.exports.beside.sheet(), "Ctrl+P")
        self._add(beside, "picture", tr("&Picture ..."), lambda: w.exports.beside.picture())
        self._add(beside, "report", tr("&Report as data ..."), lambda: w.exports.beside.report())
        self._add(beside, "dry", tr("&Dry run ..."), lambda: w.exports.beside.mode(Mode.DRY))
        self._add(beside, "frame", tr("&Frame ..."), lambda: w.exports.beside.mode(Mode.FRAME))
        self._add(beside, "tour", tr("&Tour of the pierces ..."), lambda: w.exports.beside.mode(Mode.TOUR))
        menu.addSeparator()
        self._add(menu, "close", tr("&Close the work"), w.files.close_work, "Ctrl+W")
        self._add(menu, "quit", tr("&Quit"), w.window.close, Keys.Quit)

    def _list_recent(self) -> None:
        self.recent.clear()
        for path in self.session.memory.recent:
            action = self.recent.addAction(f"{path.name}    {path.parent}")
            action.setEnabled(path.is_file())
            action.triggered.connect(lambda _on=False, path=path: self.parts.files.open([path]))
        if self.recent.isEmpty():
            self.recent.addAction(tr("nothing yet")).setEnabled(False)

    def _edit(self) -> None:
        w = self.parts
        menu = self._menu(tr("&Edit"))
        self._add(menu, "undo", tr("&Undo"), w.area.undo, Keys.Undo)
        self._add(menu, "redo", tr("&Redo"), w.area.redo, Keys.Redo)
        menu.addSeparator()
        self._add(menu, "select_all", tr("Select &all"), w.plate.select_all, Keys.SelectAll)
        self._add(menu, "select_none", tr("Select &nothing"), lambda: self.session.select(()), "Ctrl+Shift+A")
        menu.addSeparator()
        self._add(menu, "machine", tr("&Machines ..."), w.shop_pages.show_machine, "Ctrl+M")
        self._add(menu, "chart", tr("&Cut charts ..."), w.shop_pages.show_chart)
        self._add(menu, "coupon", tr("Test &pieces ..."), w.shop_pages.show_coupon)
        self._add(menu, "set_up", tr("Set up your &table ..."), w.shop_pages.show_first_run)

    def _view(self) -> None:
        w, session, memory = self.parts, self.session, self.session.memory
        menu = self._menu(tr("&View"))
        self._add(menu, "fit", tr("&Whole plate"), w.area.canvas.fit, "F")
        self._add(menu, "zoom_in", tr("&Nearer"), lambda: w.area.canvas.zoom(1.4), Keys.ZoomIn)
        self._add(menu, "zoom_out", tr("&Farther"), lambda: w.area.canvas.zoom(1 / 1.4), Keys.ZoomOut)
        self._add(menu, "to_selection", tr("To the se&lection"), w.plate.fly_to_selection, "G")
        self._add(menu, "measure", tr("&Measure"), w.plate.measure, "Ctrl+D")
        menu.addSeparator()
        for name, words, key in (
            ("part", tr("Is it the &part I drew?"), "Ctrl+1"), ("torch", tr("What will the &torch do?"), "Ctrl+2"),
            ("safe", tr("Is it &safe to run?"), "Ctrl+3"),
        ):  # fmt: skip
            self._add(menu, f"page_{name}", words, lambda name=name: w.show_page(name), key)
        self._add(menu, "side", tr("Side p&anel"), w.area.show_side, "Ctrl+B", checked=True)
        self._add(
            menu, "bottom", tr("&Height trace"), w.area.show_trace, "Ctrl+T", checked=bool(memory.get("trace", True))
        )
        menu.addSeparator()
        shown = menu.addMenu(tr("Sh&ow on the plate"))
        for field, words in (
            ("kerf", tr("&Kerf at true width")), ("travel", tr("&Travel with the torch off")),
            ("numbers", tr("&Numbers of the cuts")), ("craters", tr("&Craters of the pierces")),
            ("directions", tr("&Directions")), ("callouts", tr("&Flags of findings")), ("names", tr("N&ames of parts")),
            ("deviation", tr("&Edge deviation, when near")),
        ):  # fmt: skip
            self._add(shown, f"show_{field}", words, lambda on, f=field: w.area.canvas.show_layer(f, on), checked=True)
        self._add(shown, "rulers", tr("&Rulers"), w.area.canvas.show_rulers, checked=True)
        menu.addSeparator()
        units = (("mm", tr("&Millimetres")), ("in", tr("&Inches")))
        self._group(menu, tr("&Units"), units, "unit_", lambda unit: session.show_inches(unit == "in"))
        switch = tr("Switch mm and inch")
        self._add(menu, "switch_unit", switch, lambda: session.show_inches(not session.shown_inches), "Ctrl+U")
        themes = (("system", tr("As the &desktop")), ("light", tr("&Light")), ("dark", tr("D&ark")))
        self._group(menu, tr("Them&e"), themes, "theme_", w.show_theme)

    def _group(
        self, menu: QMenu, title: str, choices: tuple[tuple[str, str], ...], prefix: str, act: Callable[[str], object]
    ) -> None:
        inner = menu.addMenu(title)
        group = QActionGroup(self.window)
        for value, words in choices:
            action = QAction(words, self.window)
            action.setCheckable(True)
            action.triggered.connect(lambda _on=False, value=value: act(value))
            group.addAction(action)
            inner.addAction(action)
            self.by_name[prefix + value] = action

    def _cut(self) -> None:
        w = self.parts
        menu = self._menu(tr("&Cut"))
        self._add(menu, "next_cut", tr("&Next cut"), lambda: w.plate.press("N"), tip=tr("N on the plate"))
        self._add(menu, "move_lead", tr("&Move the lead of the selected cut"), w.plate.move_lead, "Ctrl+L")
        self._add(menu, "again", tr("Choose the selected leads &again"), lambda: w.pages.cuts.choose_again())
        self._add(menu, "again_all", tr("Choose a&ll leads again"), lambda: w.pages.cuts.choose_all_again())
        self._add(menu, "pick_order", tr("Pick the &order on the plate"), w.plate.pick_order, "Ctrl+K")
        menu.addSeparator()
        here = tr("Where the slider of the program stands, or the plate was clicked")
        self._add(menu, "tab", tr("Set a &tab here"), partial(set_tab, self.session), "Ctrl+Shift+T", tip=here)
        self._add(menu, "no_tab", tr("Take the ta&b here away"), partial(take_tab, self.session), tip=here)
        self._add(menu, "pierces", tr("&Pierces and holes to drill ..."), w.shop_pages.show_pierces)
        menu.addSeparator()
        self._add(menu, "go_on", tr("&Go on from here ..."), lambda: w.exports.rest.ask(), "Ctrl+G", tip=here)
        self._add(menu, "unlit", tr("The selected cuts did not l&ight ..."), lambda: w.exports.rest.ask_unlit())
        menu.addSeparator()
        self.machines = menu.addMenu(tr("The program is &for"))
        self.machines.aboutToShow.connect(self._list_machines)
        self._add(menu, "check", tr("&Check again"), self.session.plan_again, "F5")
        self._add(menu, "stop", tr("&Stop the work"), w.worker.cancel, "Ctrl+.")

    def _list_machines(self) -> None:
        session = self.session
        self.machines.clear()
        for file in store.shop_files("machines"):
            action = self.machines.addAction(file.name)
            action.setCheckable(True)
            action.setChecked(session.machine_name == file.name)
            action.triggered.connect(lambda _on=False, name=file.name: session.judge_on(name))

    def choose_machine(self) -> None:
        """Let the person choose for which machine the program is that was opened by itself."""
        header = self.parts.header
        self.machines.popup(header.mapToGlobal(header.rect().bottomLeft()))

    def _help(self) -> None:
        w = self.parts
        menu = self._menu(tr("&Help"))
        self._add(menu, "guide", tr("&Guide"), lambda: w.shop_pages.show_guide("first-cut"), Keys.HelpContents)
        self._add(menu, "shortcuts", tr("&Shortcuts"), lambda: w.shop_pages.show_guide("shortcuts"), "Ctrl+/")
        self._add(menu, "cautions", tr("&Before you light anything"), lambda: w.shop_pages.show_guide("cautions"))
        self._add(menu, "about", tr("&About"), lambda: w.shop_pages.show_guide("about"))

    def refresh(self) -> None:
        """Offer what can be done now."""
        session = self.session
        seen = session.question is None  # it hides the work while a drawing's unit is asked for
        has_job = seen and session.job is not None
        has_program = seen and session.outcome is not None and session.outcome.program is not None
        for name in ("add", "save", "save_as", "again_all", "pick_order"):
            self.by_name[name].setEnabled(has_job)
        for name in ("export", "sheet", "picture", "report", "dry", "frame", "tour", "tab", "no_tab"):
            self.by_name[name].setEnabled(has_job and has_program)
        for name in ("pierces", "go_on"):
            self.by_name[name].setEnabled(has_program)
        for name, label, words in (
            ("undo", session.undo_label, tr("&Undo")), ("redo", session.redo_label, tr("&Redo"))
        ):  # fmt: skip
            self.by_name[name].setEnabled(seen and bool(label))
            self.by_name[name].setText(f"{words}: {session.said(named(label))}" if label else words)
        for action in (self.by_name["compare"], self.machines.menuAction()):
            action.setEnabled(seen and session.document is not None and session.job is None)
        self.by_name["close"].setEnabled(session.document is not None)
        self.by_name["check"].setEnabled(session.document is not None)
        busy = session.state == "checking" or session.opening is not None
        self.by_name["stop"].setEnabled(busy)
        chosen = bool(session.selection.features)
        for name in ("to_selection", "move_lead", "again", "unlit"):
            self.by_name[name].setEnabled(chosen)
        self.by_name["unit_in" if session.shown_inches else "unit_mm"].setChecked(True)
