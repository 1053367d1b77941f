"""The pages of the work, each made when it is first wanted: a drawing is seen before any of them."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QStackedWidget, QTabWidget, QWidget

from kerfproof_app.window.files.job_files import JobFiles
from kerfproof_app.window.planning_worker import PlanningWorker
from kerfproof_app.window.plate.plate_commands import PlateCommands
from kerfproof_app.window.shop_pages import ShopPages
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.window.work_area import WorkArea
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:
    from kerfproof_app.window.pages.cuts_page import CutsPage
    from kerfproof_app.window.pages.part_page import PartPage
    from kerfproof_app.window.pages.start_page import StartPage
    from kerfproof_app.window.pages.torch_page import TorchPage
    from kerfproof_app.window.pages.unit_question import UnitQuestion
    from kerfproof_app.window.program.program_view import ProgramView


class WorkPages:
    """Pages at the side of the plate, and those that take its place while nothing is open or a unit is asked for."""

    def __init__(
        self,
        stack: QStackedWidget,
        area: WorkArea,
        plate: PlateCommands,
        files: JobFiles,
        shop_pages: ShopPages,
        worker: PlanningWorker,
    ) -> None:
        self._stack, self._area, self._plate, self._files = stack, area, plate, files
        self._shop_pages, self._worker, self._session = shop_pages, worker, area.session

    @cached_property
    def part(self) -> PartPage:
        """The page "is it the part I drew"."""
        from kerfproof_app.window.pages.part_page import PartPage

        page = PartPage(self._session)
        page.add_wanted.connect(self._files.ask_add)
        page.alone.drawing_wanted.connect(self._files.ask_add)
        self._area.side.addWidget(page)
        return page

    @cached_property
    def torch_tabs(self) -> QTabWidget:
        """The pages of "what will the torch do": `torch`, `cuts` and `program`."""
        tabs = QTabWidget()
        tabs.setDocumentMode(True)
        tabs.addTab(self.torch, tr("Settings"))
        tabs.addTab(self.cuts, tr("Leads and order"))
        tabs.addTab(self.program, tr("Program"))
        self._area.side.addWidget(tabs)
        return tabs

    @cached_property
    def torch(self) -> TorchPage:
        """The settings of the cut."""
        from kerfproof_app.window.pages.torch_page import TorchPage

        page = TorchPage(self._session)
        page.machine_wanted.connect(self._shop_pages.show_machine)
        page.chart_wanted.connect(self._shop_pages.show_chart)
        page.alone.drawing_wanted.connect(self._files.ask_add)
        return page

    @cached_property
    def cuts(self) -> CutsPage:
        """Leads and order."""
        from kerfproof_app.window.pages.cuts_page import CutsPage

        page = CutsPage(self._session)
        page.pick_wanted.connect(self._plate.pick_order)
        page.lead_wanted.connect(self._plate.hold_lead)
        page.show_scene(self._area.canvas.scene)
        self._worker.made.connect(page.show_scene)
        return page

    @cached_property
    def program(self) -> ProgramView:
        """The program's text."""
        from kerfproof_app.window.program.program_view import ProgramView

        return ProgramView(self._session)

    @cached_property
    def start(self) -> StartPage:
        """What is shown with nothing open."""
        from kerfproof_app.window.pages.start_page import StartPage
        from kerfproof_resources import drawing_names

        page = StartPage(self._session, drawing_names())
        page.open_wanted.connect(self._files.ask_open)
        page.file_wanted.connect(lambda path: self._files.open([path]))
        page.demo_wanted.connect(self._files.open_demo)
        page.set_up_wanted.connect(self._shop_pages.show_first_run)
        self._stack.addWidget(page)
        return page

    @cached_property
    def unit(self) -> UnitQuestion:
        """The question of a drawing's unit."""
        from kerfproof_app.window.pages.unit_question import UnitQuestion

        page = UnitQuestion(self._session)
        page.told(Change.QUESTION)
        self._stack.addWidget(page)
        return page

    def turn_to_open(self) -> None:
        """Show the page for what is open now."""
        session = self._session
        if session.question is not None:
            self._stack.setCurrentWidget(self.unit)
        elif session.document is not None or session.opening is not None:
            self._stack.setCurrentWidget(self._area)
        elif self._stack.currentWidget() is not self.start:
            self._stack.setCurrentWidget(self.start)
            self.start.refresh()
            self.start.open.setFocus()

    def show_beside(self, name: str) -> None:
        """Show a page at the side of the plate: ``part``, ``torch`` or ``safe``."""
        page: QWidget = self._area.findings
        if name == "part":
            page = self.part
        elif name == "torch":
            page = self.torch_tabs
        self._area.side.setCurrentWidget(page)
