"""The measure: the distance between two places on the plate."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen

from kerfproof.units import format_length
from kerfproof_app.window.plate.paint.plate_background import crosshair, label
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.plate.tools.tool import Tool, free_hand
from kerfproof_app.window.widgets.words import tr


class MeasureTool(Tool):
    """Measure between two places that snap to ends, middles and centres."""

    name = "measure"
    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, canvas: PlateView) -> None:
        super().__init__(canvas)
        self.ends: list[tuple[float, float]] = []
        self.there: tuple[float, float] | None = None
        self.kind = ""

    def press(self, event: QMouseEvent) -> bool:
        """Set an end; the third press begins anew."""
        self._aim(event)
        if self.there is not None:
            self.ends = [self.there] if len(self.ends) == 2 else [*self.ends, self.there]
        self.canvas.update()
        return True

    def move(self, event: QMouseEvent) -> bool:
        """Show the place that a press would take."""
        self._aim(event)
        self.canvas.update()
        return True

    def _aim(self, event: QMouseEvent) -> None:
        place = self.canvas.place_of(event.position())
        self.there, self.kind = place, ""
        if self.canvas.picker is not None and not free_hand(event):
            found = self.canvas.picker.snap(*place, 12.0 / self.canvas.camera.scale)
            if found is not None:
                self.there, self.kind = found
        self.canvas.pointed.emit(*self.there, self.text() or tr("Measure: choose the first place"))

    def text(self) -> str:
        """Return the measure as it stands."""
        if not self.ends or (len(self.ends) == 1 and self.there is None):
            return ""
        a = self.ends[0]
        b = self.ends[1] if len(self.ends) == 2 else self.there
        assert b is not None
        inches = self.canvas.session.shown_inches
        dx, dy = b[0] - a[0], b[1] - a[1]
        words = [format_length(v, inches, 3 + inches) for v in (math.hypot(dx, dy), abs(dx), abs(dy))]
        return tr("distance {d} · across {x} · up {y}").format(d=words[0], x=words[1], y=words[2])

    def key(self, event: QKeyEvent) -> bool:
        """Begin anew with Escape; a second one puts the tool away."""
        if event.key() == Qt.Key.Key_Escape and self.ends:
            self.ends = []
            self.canvas.update()
            return True
        return False

    def paint(self, painter: QPainter) -> None:
        """Paint both ends, the line and the distance."""
        c, camera = self.canvas.colours, self.canvas.camera
        ink, paper = QColor(c["ink"]), QColor(c["paper"])
        if self.there is not None and len(self.ends) < 2:
            u, v = camera.to_pixels(*self.there)
            crosshair(painter, u, v, QColor(c["lead_in"]))
            if self.kind:
                label(painter, u + 12, v - 14, tr(self.kind), ink, paper, size=11)
        if not self.ends:
            return
        a = QPointF(*camera.to_pixels(*self.ends[0]))
        last = self.ends[1] if len(self.ends) == 2 else self.there
        crosshair(painter, a.x(), a.y(), QColor(c["lead_out"]))
        if last is None:
            return
        b = QPointF(*camera.to_pixels(*last))
        painter.setPen(QPen(paper, 5.0))
        painter.drawLine(a, b)
        painter.setPen(QPen(QColor(c["lead_out"]), 2.0))
        painter.drawLine(a, b)
        crosshair(painter, b.x(), b.y(), QColor(c["lead_out"]))
        middle = (a + b) / 2
        distance = math.hypot(last[0] - self.ends[0][0], last[1] - self.ends[0][1])
        text = format_length(distance, self.canvas.session.shown_inches, 3 + self.canvas.session.shown_inches)
        label(painter, middle.x() + 10, middle.y() - 16, text, ink, paper, size=13)
