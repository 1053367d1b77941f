"""How drawings are painted while there is no plan: lines on a bare sheet, nothing of a cut."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from kerfproof.box import Box
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.plate.paint.plate_background import paint_grid
from kerfproof_app.window.plate.paint.plate_painter import world
from kerfproof_app.window.plate.scene.drawing_sketch import FILLED, Sketch
from kerfproof_app.window.widgets.pens import outline, thin_pen
from kerfproof_app.work.drawing_preview import LINES, DrawingPreview

Colours = Mapping[str, str]
MANY = 1500
"""With more lines in view they are painted without smoothing."""
SMALL_RINGS = 200
"""More rings than this are small."""


def paint_sketch(painter: QPainter, sketch: Sketch, camera: Camera, colours: Colours, inches: bool) -> None:
    """Paint a sheet with what is drawn on it and with what is wrong."""
    _sheet(painter, sketch.sheet, camera, colours, inches)
    view = camera.seen(4.0)
    painter.save()
    painter.setTransform(world(camera), True)
    for role, batch in sketch.layers:
        seen = batch.seen(view)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, len(seen) <= MANY)
        painter.setPen(_pen(painter, role, colours))
        painter.setBrush(QColor(colours[FILLED]) if role == FILLED else Qt.BrushStyle.NoBrush)
        for k in seen:
            painter.drawPath(batch.paths[k])
    painter.restore()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    _rings(painter, sketch.preview, camera, colours)
    if sketch.preview.callouts:
        from kerfproof_app.window.plate.paint.callouts import paint_callouts

        paint_callouts(painter, sketch.preview.callouts, camera, colours)


def _sheet(painter: QPainter, sheet: Box, camera: Camera, colours: Colours, inches: bool) -> None:
    whole = QRectF(*camera.pixels_of(sheet))
    seen = whole.intersected(QRectF(-2, -2, camera.width + 4, camera.height + 4))
    if not seen.isEmpty():
        paint_grid(painter, camera, seen, colours, inches)
    outline(painter, QColor(colours["rule"]), 1.5, Qt.PenStyle.DashLine)
    painter.drawRect(whole)


def _pen(painter: QPainter, role: str, colours: Colours) -> QPen:
    if role == LINES:
        return thin_pen(painter, QColor(colours["ink"]), 1.6)
    if role == FILLED:
        return thin_pen(painter, QColor(colours["part_edge"]), 1.4)
    style = {"uncut": Qt.PenStyle.DashLine, "mark": Qt.PenStyle.DotLine}.get(role, Qt.PenStyle.SolidLine)
    return thin_pen(painter, QColor(colours[role]), 2.4 if role == "uncut" else 1.4, style)


def _rings(painter: QPainter, preview: DrawingPreview, camera: Camera, colours: Colours) -> None:
    """Paint a circle, of one size at any scale, round each place where a contour goes wrong."""
    r = 9.0 if len(preview.rings) <= SMALL_RINGS else 5.0
    outline(painter, QColor(colours["uncut"]), 2.2)
    for at in preview.rings:
        painter.drawEllipse(QPointF(*camera.to_pixels(*at)), r, r)
