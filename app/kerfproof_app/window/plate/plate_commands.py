"""Commands on what lies on the plate: select, go there, measure, take a lead or the order in hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from kerfproof_app.window.plate.canvas import Canvas
from kerfproof_app.window.plate.tools.select_tool import SelectTool

if TYPE_CHECKING:
    from kerfproof.errors import Finding

GAP_SEEN = 30.0
"""Pixels that a small gap has at least when it is shown."""


class PlateCommands:
    """What is done on a plate view."""

    def __init__(self, canvas: Canvas) -> None:
        self.session, self.canvas = canvas.session, canvas

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
        at = None if sketch is None else sketch.preview.place_of(finding)
        if at is not None:
            self.canvas.fly_to(*at, scale=min(max(4.0, GAP_SEEN / (finding.size or GAP_SEEN)), 40.0))

    def measure(self) -> None:
        """Take the measure in hand, or put it away."""
        from kerfproof_app.window.plate.tools.measure_tool import MeasureTool

        now = self.canvas.tool
        self.canvas.take(SelectTool(self.canvas) if isinstance(now, MeasureTool) else MeasureTool(self.canvas))
        self.canvas.setFocus()

    def pick_order(self) -> None:
        """Pick the order on the plate."""
        from kerfproof_app.window.plate.tools.pick_order_tool import PickOrderTool

        self.canvas.take(PickOrderTool(self.canvas))
        self.canvas.setFocus()

    def move_lead(self) -> None:
        """Take the lead of the selected cut in hand."""
        if self.session.selection.features:
            self.hold_lead(self.session.selection.features[0])

    def hold_lead(self, feature: int) -> None:
        """Take the lead of a feature in hand, for the arrow keys."""
        look = SelectTool(self.canvas)
        self.canvas.take(look)
        self.canvas.setFocus()
        look.grab(feature)

    def press(self, key: str) -> None:
        """Press a key on the plate."""
        self.canvas.setFocus()
        code = Qt.Key(ord(key))
        QApplication.sendEvent(self.canvas, QKeyEvent(QEvent.Type.KeyPress, code, Qt.KeyboardModifier.NoModifier, key))
