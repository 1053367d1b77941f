"""All commands of the window in one table: menu, words, keys, what they do."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu

from kerfproof.job.job import Mode
from kerfproof.sentence import named
from kerfproof_app.shop import store
from kerfproof_app.window.pages import tabs
from kerfproof_app.window.widgets.words import tr

if TYPE_CHECKING:
    from kerfproof_app.window.main_window import MainWindow

Keys = QKeySequence.StandardKey


class Commands:
    """The window's commands by name, in menus."""

    def __init__(self, window: MainWindow) -> None:
        self.window = window
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
        w = self.window
        menu = self._menu(tr("&File"))
        self._add(menu, "open", tr("&Open ..."), w.ask_open, Keys.Open)
        self._add(menu, "add", tr("&Add a drawing to the job ..."), w.ask_add, "Ctrl+Shift+O")
        self._add(menu, "compare", tr("Co&mpare the program with a drawing ..."), w.ask_add)
        self.recent = menu.addMenu(tr("Open &recent"))
        self.recent.aboutToShow.connect(self._list_recent)
        menu.addSeparator()
        self._add(menu, "save", tr("&Save the job"), w.save, Keys.Save)
        self._add(menu, "save_as", tr("Save the &job as ..."), w.save_as, "Ctrl+Shift+S")
        menu.addSeparator()
        self._add(menu, "export", tr("&Export the program ..."), w.export, "Ctrl+E")
        beside = menu.addMenu(tr("Export &beside it"))
        self._add(beside, "sheet", tr("Setup &sheet ..."), lambda: w.beside.sheet(), "Ctrl+P")
        self._add(beside, "picture", tr("&Picture ..."), lambda: w.beside.picture())
        self._add(beside, "report", tr("&Report as data ..."), lambda: w.beside.report())
        self._add(beside, "dry", tr("&Dry run ..."), lambda: w.beside.mode(Mode.DRY))
        self._add(beside, "frame", tr("&Frame ..."), lambda: w.beside.mode(Mode.FRAME))
        self._add(beside, "tour", tr("&Tour of the pierces ..."), lambda: w.beside.mode(Mode.TOUR))
        menu.addSeparator()
        self._add(menu, "close", tr("&Close the work"), w.close_work, "Ctrl+W")
        self._add(menu, "quit", tr("&Quit"), w.close, Keys.Quit)

    def _list_recent(self) -> None:
        self.recent.clear()
        for path in self.window.session.memory.recent:
            action = self.recent.addAction(f"{path.name}    {path.parent}")
            action.setEnabled(path.is_file())
            action.triggered.connect(lambda _on=False, path=path: self.window.open_files([path]))
        if self.recent.isEmpty():
            self.recent.addAction(tr("nothing yet")).setEnabled(False)

    def _edit(self) -> None:
        w = self.window
        menu = self._menu(tr("&Edit"))
        self._add(menu, "undo", tr("&Undo"), w.undo, Keys.Undo)
        self._add(menu, "redo", tr("&Redo"), w.redo, Keys.Redo)
        menu.addSeparator()
        self._add(menu, "select_all", tr("Select &all"), w.hand.select_all, Keys.SelectAll)
        self._add(menu, "select_none", tr("Select &nothing"), lambda: w.session.select(()), "Ctrl+Shift+A")
        menu.addSeparator()
        self._add(menu, "machine", tr("&Machines ..."), w.show_machine, "Ctrl+M")
        self._add(menu, "chart", tr("&Cut charts ..."), w.show_chart)
        self._add(menu, "coupon", tr("Test &pieces ..."), w.shop_pages.show_coupon)
        self._add(menu, "set_up", tr("Set up your &table ..."), w.show_first_run)

    def _view(self) -> None:
        w, memory = self.window, self.window.session.memory
        menu = self._menu(tr("&View"))
        self._add(menu, "fit", tr("&Whole plate"), w.canvas.fit, "F")
        self._add(menu, "zoom_in", tr("&Nearer"), lambda: w.canvas.zoom(1.4), Keys.ZoomIn)
        self._add(menu, "zoom_out", tr("&Farther"), lambda: w.canvas.zoom(1 / 1.4), Keys.ZoomOut)
        self._add(menu, "to_selection", tr("To the se&lection"), w.hand.fly_to_selection, "G")
        self._add(menu, "measure", tr("&Measure"), w.hand.measure, "Ctrl+D")
        menu.addSeparator()
        for name, words, key in (
            ("part", tr("Is it the &part I drew?"), "Ctrl+1"), ("torch", tr("What will the &torch do?"), "Ctrl+2"),
            ("safe", tr("Is it &safe to run?"), "Ctrl+3"),
        ):  # fmt: skip
            self._add(menu, f"page_{name}", words, lambda name=name: w.show_page(name), key)
        self._add(menu, "side", tr("Side p&anel"), w.show_side, "Ctrl+B", checked=True)
        self._add(menu, "bottom", tr("&Height trace"), w.show_trace, "Ctrl+T", checked=bool(memory.get("trace", True)))
        menu.addSeparator()
        shown = menu.addMenu(tr("Sh&ow on the plate"))
        for field, words in (
            ("kerf", tr("&Kerf at true width")), ("travel", tr("&Travel with the torch off")),
            ("numbers", tr("&Numbers of the cuts")), ("craters", tr("&Craters of the pierces")),
            ("directions", tr("&Directions")), ("callouts", tr("&Flags of findings")), ("names", tr("N&ames of parts")),
            ("deviation", tr("&Edge deviation, when near")),
        ):  # fmt: skip
            self._add(shown, f"show_{field}", words, lambda on, f=field: w.show_layer(f, on), checked=True)
        self._add(shown, "rulers", tr("&Rulers"), w.canvas.show_rulers, checked=True)
        menu.addSeparator()
        self._group(menu, tr("&Units"), (("mm", tr("&Millimetres")), ("in", tr("&Inches"))), "unit_", w.show_unit)
        self._add(menu, "switch_unit", tr("Switch mm and inch"), w.switch_unit, "Ctrl+U")
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
        w = self.window
        menu = self._menu(tr("&Cut"))
        self._add(menu, "next_cut", tr("&Next cut"), lambda: w.hand.press("N"), tip=tr("N on the plate"))
        self._add(menu, "move_lead", tr("&Move the lead of the selected cut"), w.hand.move_lead, "Ctrl+L")
        self._add(menu, "again", tr("Choose the selected leads &again"), lambda: w.cuts_page._again())
        self._add(menu, "again_all", tr("Choose a&ll leads again"), lambda: w.cuts_page._again_all())
        self._add(menu, "pick_order", tr("Pick the &order on the plate"), w.hand.pick_order, "Ctrl+K")
        menu.addSeparator()
        here = tr("Where the slider of the program stands, or the plate was clicked")
        self._add(menu, "tab", tr("Set a &tab here"), lambda: tabs.set_tab(w.session), "Ctrl+Shift+T", tip=here)
        self._add(menu, "no_tab", tr("Take the ta&b here away"), lambda: tabs.take_tab(w.session), tip=here)
        self._add(menu, "pierces", tr("&Pierces and holes to drill ..."), w.shop_pages.show_pierces)
        menu.addSeparator()
        self._add(menu, "go_on", tr("&Go on from here ..."), lambda: w.going_on.ask(), "Ctrl+G", tip=here)
        self._add(menu, "unlit", tr("The selected cuts did not l&ight ..."), lambda: w.going_on.ask_unlit())
        menu.addSeparator()
        self.machines = menu.addMenu(tr("The program is &for"))
        self.machines.aboutToShow.connect(self._list_machines)
        self._add(menu, "check", tr("&Check again"), w.session.plan_again, "F5")
        self._add(menu, "stop", tr("&Stop the work"), w.worker.cancel, "Ctrl+.")

    def _list_machines(self) -> None:
        session = self.window.session
        self.machines.clear()
        for file in store.shop_files("machines"):
            action = self.machines.addAction(file.name)
            action.setCheckable(True)
            action.setChecked(session.version is not None and session.version.job.machine == file.name)
            action.triggered.connect(lambda _on=False, name=file.name: session.judge_on(name))

    def _help(self) -> None:
        w = self.window
        menu = self._menu(tr("&Help"))
        self._add(menu, "guide", tr("&Guide"), lambda: w.show_guide("first-cut"), Keys.HelpContents)
        self._add(menu, "shortcuts", tr("&Shortcuts"), lambda: w.show_guide("shortcuts"), "Ctrl+/")
        self._add(menu, "cautions", tr("&Before you light anything"), lambda: w.show_guide("cautions"))
        self._add(menu, "about", tr("&About"), lambda: w.show_guide("about"))

    def refresh(self) -> None:
        """Offer what can be done now."""
        session = self.window.session
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
            action.setEnabled(seen and session.version is not None and session.job is None)
        self.by_name["close"].setEnabled(session.version is not None)
        self.by_name["check"].setEnabled(session.version is not None)
        busy = session.state == "checking" or session.opening is not None
        self.by_name["stop"].setEnabled(busy)
        chosen = bool(session.selection.features)
        for name in ("to_selection", "move_lead", "again", "unlit"):
            self.by_name[name].setEnabled(chosen)
        self.by_name["unit_in" if session.shown_inches else "unit_mm"].setChecked(True)
