"""Commands on what lies on the plate: select, go there, measure, take a lead or the order in hand; the menu there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QMenu

from kerfproof_app.window.plate.tools.select_tool import Look

if TYPE_CHECKING:
    from kerfproof.errors import Finding
    from kerfproof_app.window.main_window import MainWindow

GAP_SEEN = 30.0
"""Pixels that a small gap has at least when it is shown."""


class OnPlate(QObject):
    """What a window does with its plate view."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session, self.canvas = window, window.session, window.canvas
        self._last: tuple[float, float] | None = None

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

    def fly_to_drawn(self, finding: Finding) -> None:
        """Bring the place of a finding into view where only what is drawn is shown."""
        sketch = self.canvas.sketch
        at = None if sketch is None else sketch.sight.place_of(finding)
        if at is not None:
            self.canvas.fly_to(*at, scale=min(max(4.0, GAP_SEEN / (finding.size or GAP_SEEN)), 40.0))

    def measure(self) -> None:
        """Take the measure in hand, or put it away."""
        from kerfproof_app.window.plate.tools.measure_tool import Measure

        now = self.canvas.tool
        self.canvas.take(Look(self.canvas) if isinstance(now, Measure) else Measure(self.canvas))
        self.canvas.setFocus()

    def pick_order(self) -> None:
        """Pick the order on the plate."""
        from kerfproof_app.window.plate.tools.pick_order_tool import PickOrder

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

    def press(self, key: str) -> None:
        """Press a key on the plate."""
        self.canvas.setFocus()
        code = Qt.Key(ord(key))
        QApplication.sendEvent(self.canvas, QKeyEvent(QEvent.Type.KeyPress, code, Qt.KeyboardModifier.NoModifier, key))

    def menu(self, event: QMouseEvent) -> None:
        """Offer what can be done with the thing under the pointer."""
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
        menu = QMenu(self.window)
        for name in ("move_lead", "again", "pick_order", "to_selection", "fit", "measure"):
            menu.addAction(self.window.commands[name])
        menu.addSeparator()
        for name in ("tab", "no_tab", "go_on", "unlit"):
            menu.addAction(self.window.commands[name])
        chosen = self.session.selection
        if (chosen.features or chosen.loose) and self.session.job is not None:
            roles = menu.addMenu(self.tr("Make it"))
            for button in self.window.part_page.role_buttons.values():
                roles.addAction(button.text()).triggered.connect(button.click)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(event.globalPosition().toPoint())

    def pointed(self, x: float, y: float, words: str) -> None:
        """Tell under the plate where the pointer is and on what."""
        self._last = x, y
        self.tell_place()
        self.window.under.setText(words)

    def tell_place(self) -> None:
        """Tell the place of the pointer in the unit that is shown."""
        if self._last is None:
            return
        x, y = self._last
        if self.session.shown_inches:
            self.window.place.setText(f"x {x / 25.4:.4f}   y {y / 25.4:.4f} in")
        else:
            self.window.place.setText(f"x {x:.2f}   y {y:.2f} mm")
