"""An order of cuts, picked by clicking on the plate."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen

from kerfproof_app.window.plate.paint.plate_background import label
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.plate.tools.tool import Tool
from kerfproof_app.window.widgets.words import tr


class PickOrderTool(Tool):
    """Click features in the order in which they are to be cut; Enter takes it, Escape gives it up."""

    name = "order"
    cursor = Qt.CursorShape.PointingHandCursor

    def __init__(self, canvas: PlateView) -> None:
        super().__init__(canvas)
        self.picked: list[int] = []

    def press(self, event: QMouseEvent) -> bool:
        """Take the feature under the pointer as the next, or take it out again."""
        found = self.canvas.thing_at(event.position())
        if found is None or found.feature is None or found.cut is None:
            return False
        if found.feature in self.picked:
            self.picked.remove(found.feature)
        else:
            self.picked.append(found.feature)
        self.canvas.update()
        return True

    def move(self, event: QMouseEvent) -> bool:
        """Let the canvas tell what lies there."""
        return False

    def scene_changed(self) -> None:
        """Forget what was picked: the numbers of another scene mean nothing here."""
        self.picked = []

    def key(self, event: QKeyEvent) -> bool:
        """Take the order with Enter."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and len(self.picked) > 1:
            from kerfproof_app.window.plate.tools.cut_order import set_order

            set_order(self.canvas.session, self.picked)
            self.canvas.put_tool_away()
            return True
        return False

    def paint(self, painter: QPainter) -> None:
        """Paint the numbers of the order so far."""
        scene, c = self.canvas.scene, self.canvas.colours
        assert scene is not None
        points = []
        for feature in self.picked:
            cut = scene.cut_of.get(feature)
            if cut is not None:
                points.append(QPointF(*self.canvas.camera.to_pixels(*scene.pierces[cut])))
        painter.setPen(QPen(QColor(c["good"]), 2.5))
        for a, b in pairwise(points):
            painter.drawLine(a, b)
        for k, at in enumerate(points, 1):
            label(painter, at.x() - 9, at.y(), str(k), QColor(c["good_ink"]), QColor(c["good"]), size=13)
        text = tr("Click features in the order you want, then press Enter. {n} chosen").format(n=len(self.picked))
        label(painter, 36, self.canvas.height() - 54, text, QColor(c["ink"]), QColor(c["paper"]), size=12)
