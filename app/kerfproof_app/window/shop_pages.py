"""The big pages that take the place of the plate for a while: machines, charts, first set-up, guide."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QLabel, QPushButton, QStackedWidget, QWidget

from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.page_parts import column_layout, row_layout
from kerfproof_app.work.session import Session

if TYPE_CHECKING:
    from kerfproof_app.window.shop.guide_view import GuideView


class ShopPages(QObject):
    """Makes each page when it is first wanted. `left` tells that the plate is wanted back, `changed` a saved file."""

    left = Signal()
    changed = Signal()
    tour_wanted = Signal()

    def __init__(self, session: Session, stack: QStackedWidget, background: BackgroundWork) -> None:
        super().__init__(stack)
        self.session, self.stack, self.background = session, stack, background
        self.made: dict[str, QWidget] = {}
        self._frames: dict[str, QWidget] = {}
        self._backs: dict[str, QPushButton] = {}
        self.shown = ""

    @property
    def unsaved(self) -> list[str]:
        """The names of files that are changed in an editor and not saved."""
        return [name for page in self.made.values() for name in getattr(page, "unsaved", ())]

    def show_unsaved(self) -> None:
        """Show the first file that is changed and not saved in its editor."""
        for kind, page in self.made.items():
            for name in getattr(page, "unsaved", ()):
                (self.show_machine if kind == "machine" else self.show_chart)(name)
                return

    def leave(self) -> None:
        """Go back to the work."""
        self.shown = ""
        self.left.emit()

    def _show(self, name: str, title: str, make: Callable[[], QWidget]) -> QWidget:
        if name not in self.made:
            self.made[name] = make()
            frame = QWidget()
            heading = QLabel(title)
            heading.setObjectName("heading")
            back = self._backs[name] = QPushButton()
            back.setObjectName("back")
            back.setShortcut("Alt+Left")
            back.clicked.connect(self.leave)
            top = row_layout(margins=(14, 6, 14, 6))
            top.addWidget(back)
            top.addSpacing(10)
            top.addWidget(heading, 1)
            rows = column_layout(frame, (0, 0, 0, 0), 0)
            rows.addLayout(top)
            rows.addWidget(self.made[name], 1)
            self._frames[name] = frame
            self.stack.addWidget(frame)
        self._backs[name].setText(self.tr("Back to the plate") if self.session.version else self.tr("Back"))
        self.shown = name
        self.stack.setCurrentWidget(self._frames[name])
        return self.made[name]

    def show_machine(self, name: str = "", key: str = "") -> None:
        """Show the machine editor with a machine (without a name the job's), at a field if one is named."""
        from kerfproof_app.window.findings.fixes import FIELDS
        from kerfproof_app.window.shop.machine_editor import MachineEditor

        def make() -> QWidget:
            editor = MachineEditor(self.session, FIELDS)
            editor.saved.connect(self.changed)
            return editor

        page = self._show("machine", self.tr("Machines"), make)
        assert isinstance(page, MachineEditor)
        job = self.session.job
        name = name or (job.machine if job else "")
        if name:
            if key:
                page.open_at(name, key)
            else:
                page.show_file(name)

    def show_chart(self, name: str = "") -> None:
        """Show the chart editor with a chart; without a name that of the job."""
        from kerfproof_app.window.shop.chart_editor import ChartEditor

        def make() -> QWidget:
            editor = ChartEditor(self.session)
            editor.saved.connect(self.changed)
            return editor

        page = self._show("chart", self.tr("Cut charts"), make)
        assert isinstance(page, ChartEditor)
        job = self.session.job
        name = name or (job.chart if job else "")
        if name:
            page.show_file(name)

    def show_coupon(self) -> None:
        """Show the page of test pieces."""
        from kerfproof_app.window.shop.test_piece_page import CouponPage

        def make() -> QWidget:
            page = CouponPage(self.session, self.background)
            page.changed.connect(self.changed)
            return page

        self._show("coupon", self.tr("Test pieces"), make)

    def show_pierces(self) -> None:
        """Show the list of pierces."""
        from kerfproof_app.window.pages.pierce_page import PiercePage

        def make() -> QWidget:
            page = PiercePage(self.session)
            page.tour_wanted.connect(self.tour_wanted)
            return page

        self._show("pierces", self.tr("Pierces and holes to drill"), make)

    def show_first_run(self) -> None:
        """Show the short way to a machine of one's own."""
        from kerfproof_app.window.shop.first_run import FirstRun

        def make() -> QWidget:
            page = FirstRun(self.session)
            page.finished.connect(lambda _machine: self.leave())
            return page

        self._show("first_run", self.tr("Set up your table"), make)

    def show_guide(self, page: str) -> None:
        """Show a page of the guide."""
        self._guide().show_page(page)

    def show_cautions(self) -> None:
        """Show what is to be read before anything is lit, with the words of one who has read it."""
        self.show_guide("cautions")
        self._backs["guide"].setText(self.tr("I have read this"))

    def show_rule(self, rule: str) -> None:
        """Show the page of a rule."""
        self._guide().show_rule(rule)

    def _guide(self) -> GuideView:
        from kerfproof_app.window.shop.guide_view import GuideView

        page = self._show("guide", self.tr("Guide"), lambda: GuideView(self.session))
        assert isinstance(page, GuideView)
        return page
