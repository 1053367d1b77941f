"""What is drawn, as the plate view paints it while there is no plan: lines on a bare sheet, nothing of a cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.plate.path_batch import Box, Sheaf, grouped, sheaf_of
from kerfproof_app.window.plate.plate_background import paint_grid
from kerfproof_app.window.plate.plate_painter import world
from kerfproof_app.window.widgets.pens import thin_pen
from kerfproof_app.work.drawing_preview import LINES, Sight

Colours = Mapping[str, str]
FILLED = "part"
MANY = 1500
"""With more lines in view they are painted without smoothing."""
SMALL_RINGS = 200
"""More rings than this are small."""


@dataclass(frozen=True, slots=True, eq=False)
class Sketch:
    """Drawings made ready to be painted: paths by role, as in `Sight`."""

    sight: Sight
    layers: tuple[tuple[str, Sheaf], ...]

    @property
    def sheet(self) -> Box:
        """The box of all that is drawn, with some room."""
        return self.sight.sheet

    @property
    def names(self) -> tuple[str, ...]:
        """What the drawings are called."""
        return tuple(drawing.name for drawing in self.sight.drawings)


def make_sketch(sight: Sight) -> Sketch:
    """Return drawings made ready to be painted. Holds nothing of a widget and may be made on any thread."""
    made = [
        (role, grouped([paths]) if role == FILLED else sheaf_of(paths, np.arange(len(paths))))
        for role, paths in sight.layers
        if paths
    ]
    return Sketch(sight, tuple(made))


def paint_sketch(painter: QPainter, sketch: Sketch, camera: Camera, colours: Colours, inches: bool) -> None:
    """Paint a sheet with what is drawn on it and with what is wrong."""
    _sheet(painter, sketch.sheet, camera, colours, inches)
    view = camera.seen(4.0)
    painter.save()
    painter.setTransform(world(camera), True)
    for role, sheaf in sketch.layers:
        seen = sheaf.seen(view)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, len(seen) <= MANY)
        painter.setPen(_pen(painter, role, colours))
        painter.setBrush(QColor(colours[FILLED]) if role == FILLED else Qt.BrushStyle.NoBrush)
        for k in seen:
            painter.drawPath(sheaf.paths[k])
    painter.restore()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    _rings(painter, sketch.sight, camera, colours)
    if sketch.sight.callouts:
        from kerfproof_app.window.plate.callouts import paint_callouts

        paint_callouts(painter, sketch.sight.callouts, camera, colours)


def _sheet(painter: QPainter, sheet: Box, camera: Camera, colours: Colours, inches: bool) -> None:
    u0, v1 = camera.to_pixels(sheet[0], sheet[1])
    u1, v0 = camera.to_pixels(sheet[2], sheet[3])
    whole = QRectF(u0, v0, u1 - u0, v1 - v0)
    seen = whole.intersected(QRectF(-2, -2, camera.width + 4, camera.height + 4))
    if not seen.isEmpty():
        paint_grid(painter, camera, seen, colours, inches)
    painter.setPen(QPen(QColor(colours["rule"]), 1.5, Qt.PenStyle.DashLine))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(whole)


def _pen(painter: QPainter, role: str, colours: Colours) -> QPen:
    if role == LINES:
        return thin_pen(painter, QColor(colours["ink"]), 1.6)
    if role == FILLED:
        return thin_pen(painter, QColor(colours["part_edge"]), 1.4)
    style = {"uncut": Qt.PenStyle.DashLine, "mark": Qt.PenStyle.DotLine}.get(role, Qt.PenStyle.SolidLine)
    return thin_pen(painter, QColor(colours[role]), 2.4 if role == "uncut" else 1.4, style)


def _rings(painter: QPainter, sight: Sight, camera: Camera, colours: Colours) -> None:
    """Paint a circle, of one size at any scale, round each place where a contour goes wrong."""
    r = 9.0 if len(sight.rings) <= SMALL_RINGS else 5.0
    painter.setPen(QPen(QColor(colours["uncut"]), 2.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for at in sight.rings:
        painter.drawEllipse(QPointF(*camera.to_pixels(*at)), r, r)
