"""The pages of the window, each made when it is first wanted: a drawing is seen before any of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QTabWidget

from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:
    from kerfproof_app.window.main_window import MainWindow
    from kerfproof_app.window.pages.cuts_page import CutsPage
    from kerfproof_app.window.pages.part_page import PartPage
    from kerfproof_app.window.pages.start_page import StartPage
    from kerfproof_app.window.pages.torch_page import TorchPage
    from kerfproof_app.window.pages.unit_question import UnitQuestion


def part_page(window: MainWindow) -> PartPage:
    """Return the page "is it the part I drew"."""
    from kerfproof_app.window.pages.part_page import PartPage

    page = PartPage(window.session)
    page.add_wanted.connect(window.ask_add)
    window.side.addWidget(page)
    return page


def torch_tabs(window: MainWindow) -> QTabWidget:
    """Return the pages of "what will the torch do"."""
    tabs = QTabWidget()
    tabs.setDocumentMode(True)
    tabs.addTab(window.torch_page, window.tr("Settings"))
    tabs.addTab(window.cuts_page, window.tr("Leads and order"))
    tabs.addTab(window.program, window.tr("Program"))
    window.side.addWidget(tabs)
    return tabs


def torch_page(window: MainWindow) -> TorchPage:
    """Return the settings of the cut."""
    from kerfproof_app.window.pages.torch_page import TorchPage

    page = TorchPage(window.session)
    page.machine_wanted.connect(window.show_machine)
    page.chart_wanted.connect(window.show_chart)
    page.alone.drawing_wanted.connect(window.ask_add)
    return page


def cuts_page(window: MainWindow) -> CutsPage:
    """Return the page of leads and order."""
    from kerfproof_app.window.pages.cuts_page import CutsPage

    page = CutsPage(window.session)
    page.pick_wanted.connect(window.hand.pick_order)
    page.lead_wanted.connect(window.hand.hold_lead)
    page.show_scene(window.canvas.scene)
    window.worker.made.connect(page.show_scene)
    return page


def start_page(window: MainWindow) -> StartPage:
    """Return what is shown with nothing open."""
    from kerfproof_app.window.pages.start_page import StartPage
    from kerfproof_resources import drawing_names

    page = StartPage(window.session, drawing_names())
    page.open_wanted.connect(window.ask_open)
    page.file_wanted.connect(lambda path: window.open_files([path]))
    page.demo_wanted.connect(window.open_demo)
    page.set_up_wanted.connect(window.show_first_run)
    window.stack.addWidget(page)
    return page


def unit_question(window: MainWindow) -> UnitQuestion:
    """Return the question of a drawing's unit."""
    from kerfproof_app.window.pages.unit_question import UnitQuestion

    page = UnitQuestion(window.session)
    page.answered.connect(window.refresh)
    page.told(Change.QUESTION)
    window.stack.addWidget(page)
    return page
