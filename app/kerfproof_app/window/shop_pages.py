"""The big pages that take the place of the plate for a while: machines, charts, first set-up, guide."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar, cast

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QPushButton, QStackedWidget, QWidget

from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.page_parts import column_layout, line_label, page_of, push_button, row_layout
from kerfproof_app.work.session import Session

if TYPE_CHECKING:
    from kerfproof_app.window.shop.guide_view import GuideView
    from kerfproof_app.window.shop.shop_editor import ShopEditor

_Page = TypeVar("_Page", bound=QWidget)


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

    def leave(self, *_: object) -> None:
        """Go back to the work."""
        self.shown = ""
        self.left.emit()

    def _show(self, name: str, title: str, make: Callable[[], _Page]) -> _Page:
        """Show a page, made the first time, below its title and the way back."""
        page = self.made.get(name)
        if page is None:
            page = self.made[name] = make()
            back = self._backs[name] = push_button("", self.leave, look="back")
            back.setShortcut("Alt+Left")
            top = row_layout(back, line_label(title, look="heading"), 1, margins=(14, 6, 14, 6), spacing=10)
            self._frames[name] = page_of(column_layout(top, (page, 1), margins=(0, 0, 0, 0), spacing=0))
            self.stack.addWidget(self._frames[name])
        self._backs[name].setText(self.tr("Back to the plate") if self.session.document else self.tr("Back"))
        self.shown = name
        self.stack.setCurrentWidget(self._frames[name])
        return cast("_Page", page)

    def show_machine(self, name: str = "", key: str = "") -> None:
        """Show the machine editor with a machine (without a name the job's), at a field if one is named."""
        from kerfproof_app.window.findings.fixes import FIELDS
        from kerfproof_app.window.shop.machine_editor import MachineEditor

        self._edit(self._show("machine", self.tr("Machines"), lambda: MachineEditor(self.session, FIELDS)), name, key)

    def show_chart(self, name: str = "") -> None:
        """Show the chart editor with a chart; without a name that of the job."""
        from kerfproof_app.window.shop.chart_editor import ChartEditor

        self._edit(self._show("chart", self.tr("Cut charts"), lambda: ChartEditor(self.session)), name)

    def _edit(self, page: ShopEditor, name: str, key: str = "") -> None:
        page.saved.connect(self.changed, Qt.ConnectionType.UniqueConnection)
        name = name or page.used_by_job()
        if name:
            page.show_file(name)
            if key:
                page.show_field(key)

    def show_coupon(self) -> None:
        """Show the page of test pieces."""
        from kerfproof_app.window.shop.test_piece_page import CouponPage

        page = self._show("coupon", self.tr("Test pieces"), lambda: CouponPage(self.session, self.background))
        page.changed.connect(self.changed, Qt.ConnectionType.UniqueConnection)

    def show_pierces(self) -> None:
        """Show the list of pierces."""
        from kerfproof_app.window.pages.pierce_page import PiercePage

        page = self._show("pierces", self.tr("Pierces and holes to drill"), lambda: PiercePage(self.session))
        page.tour_wanted.connect(self.tour_wanted, Qt.ConnectionType.UniqueConnection)

    def show_first_run(self) -> None:
        """Show the short way to a machine of one's own."""
        from kerfproof_app.window.shop.first_run import FirstRun

        page = self._show("first_run", self.tr("Set up your table"), lambda: FirstRun(self.session))
        page.finished.connect(self.leave, Qt.ConnectionType.UniqueConnection)

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

        return self._show("guide", self.tr("Guide"), GuideView)
