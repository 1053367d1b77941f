"""The picture of an outcome as the plate view paints it: parts, kerf, path over time, leads, travel, numbers.

Only what is seen is painted. All functions paint into device pixels through a `Camera`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from kerfproof.box import Box
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.plate.paint.callouts import paint_callouts
from kerfproof_app.window.plate.plate_view import Shown
from kerfproof_app.window.plate.scene.path_batch import PathBatch
from kerfproof_app.window.widgets.color_ramp import ramp
from kerfproof_app.window.widgets.pens import faded, outline, take_letters, thin_pen

if TYPE_CHECKING:  # a scene is of a plan; this is loaded while only a drawing is shown
    from kerfproof_app.window.plate.scene.plate_scene import Scene

Colours = Mapping[str, str]
FAR, MANY = 1.0, 300
"""Where a kerf is thinner than so many pixels and there are more cuts than that, lines are one pixel wide."""
MOST_NUMBERS = 220
"""With more pierces in view their numbers are left out."""
MOST_DOTS = 800
"""With more pierces in view they are plain dots."""
ARROWS_FROM = 0.5
"""Pixels per mm from which directions are marked."""
THINNEST = 2.2
"""Pixels; a kerf that would be thinner is painted so wide, to be seen at all."""
FRINGE_FROM = 12.0
"""Pixels per mm from which the deviation of the finished edge is shown."""
FRINGE = 1000.0
"""The fringe shows deviations so many times as large."""


def world(camera: Camera) -> QTransform:
    """Return the transform from mm to pixels."""
    u, v = camera.to_pixels(0.0, 0.0)
    return QTransform(camera.scale, 0, 0, -camera.scale, u, v)


def is_far(scene: Scene, camera: Camera) -> bool:
    """Return whether so much is seen from so far that fine lines, not kerfs, are painted."""
    return scene.outcome.process.kerf * camera.scale < FAR and len(scene.kerf) > MANY


def paint_sheet(painter: QPainter, scene: Scene, camera: Camera, colours: Colours, shown: Shown) -> None:
    """Paint all of a scene that is seen."""
    far = is_far(scene, camera)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, not far)
    view = camera.seen(4.0)
    painter.save()
    painter.setTransform(world(camera), True)
    painter.setPen(thin_pen(painter, QColor(colours["part_edge"]), 1.0))
    painter.setBrush(QColor(colours["part"]))
    for k in scene.parts.seen(view):
        painter.drawPath(scene.parts.paths[k])
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for role, style in (("slit", "-"), ("mark", ":"), ("drill", "-"), ("uncut", "--"), ("ignored", "-")):
        if role in scene.extra:
            width = 1.0 if role == "ignored" else 1.6
            _strokes(painter, scene.extra[role], view, QColor(colours[role]), width, style)
    if shown.kerf and not far:
        _kerf(painter, scene.kerf, view, camera, colours)
    if shown.travel:
        raised, travel = QColor(colours["raised"]), faded(QColor(colours["travel"]), 200)
        ink, width = (raised, 1.8) if scene.picture.notice else (travel, 1.0)
        _strokes(painter, scene.travel, view, ink, width, "--")
    _timed(painter, scene, view, camera, colours)
    painter.restore()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    paint_marks(painter, scene, camera, colours, shown)


_STYLES = {"-": Qt.PenStyle.SolidLine, ":": Qt.PenStyle.DotLine, "--": Qt.PenStyle.DashLine}


def _strokes(painter: QPainter, batch: PathBatch, view: Box, ink: QColor, width: float, style: str = "-") -> None:
    pen = thin_pen(painter, ink, width, _STYLES[style])
    if style == "--":
        pen.setDashPattern([5, 4])
    painter.setPen(pen)
    for k in batch.seen(view):
        painter.drawPath(batch.paths[k])


def _kerf(painter: QPainter, kerf: PathBatch, view: Box, camera: Camera, colours: Colours) -> None:
    ink = QColor(colours["kerf"])
    pens: dict[float, QPen] = {}
    for k in kerf.seen(view):
        width = float(kerf.width[k])
        if width not in pens:
            pen = QPen(ink, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
            if width * camera.scale < THINNEST:
                pen = thin_pen(painter, ink, THINNEST)
            pens[width] = pen
        painter.setPen(pens[width])
        painter.drawPath(kerf.paths[k])


def _timed(painter: QPainter, scene: Scene, view: Box, camera: Camera, colours: Colours) -> None:
    wide = float(np.clip(scene.outcome.process.kerf * camera.scale * 0.55, 0.6 * THINNEST, 6.0))
    far = is_far(scene, camera)
    pens = [QPen(colour, 0) if far else thin_pen(painter, colour, wide) for colour in ramp()]
    for pen in () if far else pens:
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    path = scene.path
    for k in path.seen(view):
        painter.setPen(pens[int(path.tone[k])])
        painter.drawPath(path.paths[k])
    for batch, role in ((scene.leads_out, "lead_out"), (scene.leads_in, "lead_in")):
        _strokes(painter, batch, view, QColor(colours[role]), 0 if far else max(wide, 2.4))


# --- marks of fixed size ------------------------------------------------------------------------------


def paint_marks(painter: QPainter, scene: Scene, camera: Camera, colours: Colours, shown: Shown) -> None:
    """Paint what has the same size at any scale: directions, pierces, names, callouts, the fringe."""
    if shown.deviation and camera.scale >= FRINGE_FROM:
        paint_fringe(painter, scene, camera, colours)
    if shown.directions and camera.scale >= ARROWS_FROM:
        _arrows(painter, scene, camera, colours)
    if shown.names:
        from kerfproof_app.window.plate.paint.part_names import paint_names

        paint_names(painter, scene, camera, colours)
    _pierces(painter, scene, camera, colours, shown)
    if shown.callouts:
        paint_callouts(painter, scene.picture.callouts, camera, colours)


def _inside(camera: Camera, points: np.ndarray, margin: float = 30.0) -> np.ndarray:
    x0, y0, x1, y1 = camera.seen(margin)
    if not len(points):
        return np.empty(0, dtype=np.int64)
    x, y = points[:, 0], points[:, 1]
    return np.flatnonzero((x >= x0) & (x <= x1) & (y >= y0) & (y <= y1))


def _arrows(painter: QPainter, scene: Scene, camera: Camera, colours: Colours) -> None:
    arrows = scene.arrows
    painter.setPen(QPen(QColor(colours["kerf"]), 1.0))
    painter.setBrush(QColor(colours["arrow"]))
    for x, y, turn, length in arrows[_inside(camera, arrows)].tolist():
        if length * camera.scale < 50:
            continue
        u, v = camera.to_pixels(x, y)
        c, s = np.cos(turn), -np.sin(turn)
        corners = [(7, 0), (-4, 4.5), (-1.5, 0), (-4, -4.5)]
        painter.drawPolygon(QPolygonF([QPointF(u + a * c - b * s, v + a * s + b * c) for a, b in corners]))


def _pierces(painter: QPainter, scene: Scene, camera: Camera, colours: Colours, shown: Shown) -> None:
    seen = _inside(camera, scene.pierces).tolist()
    places = [QPointF(*camera.to_pixels(*scene.pierces[k])) for k in seen]
    crater = scene.outcome.process.crater_radius * camera.scale
    ink = QColor(colours["lead_in"])
    if shown.craters and crater >= 3.0 and not scene.picture.notice:
        painter.setPen(QPen(ink, 1.0, Qt.PenStyle.DotLine))
        painter.setBrush(faded(ink, 38))
        for place in places:
            painter.drawEllipse(place, crater, crater)
    if len(seen) > MOST_DOTS:
        painter.setPen(QPen(ink, 3.0))
        painter.drawPoints(places)
        return
    painter.setPen(QPen(QColor(colours["disc_edge"]), 1.0))
    painter.setBrush(ink)
    for place in places:
        painter.drawEllipse(place, 3.2, 3.2)
    if shown.numbers and len(seen) <= MOST_NUMBERS and scene.picture.discs:
        _numbers(painter, scene, camera, colours, seen)


def _numbers(painter: QPainter, scene: Scene, camera: Camera, colours: Colours, seen: Iterable[int]) -> None:
    metrics = take_letters(painter, 11, bold=True)
    for k in seen:
        disc = scene.picture.discs[k]
        u, v = camera.to_pixels(*disc.at)
        text = str(disc.number)
        r = max(9.0, metrics.horizontalAdvance(text) / 2 + 4)
        away = 6 + r
        cu, cv = u + disc.away[0] * away, v - disc.away[1] * away
        painter.setPen(QPen(QColor(colours["disc_edge"]), 1.2))
        painter.setBrush(QColor(colours["disc"]))
        painter.drawEllipse(QPointF(cu, cv), r, r)
        painter.setPen(QColor(colours["disc_ink"]))
        painter.drawText(QRectF(cu - r, cv - r, 2 * r, 2 * r), Qt.AlignmentFlag.AlignCenter, text)


def paint_fringe(painter: QPainter, scene: Scene, camera: Camera, colours: Colours) -> None:
    """Paint how far the finished edge lies from the drawn one, a thousand times as large, as whiskers on the edge."""
    from kerfproof_app.window.plate.paint.edge_deviation import whiskers

    found = whiskers(scene, camera.seen(4.0))
    if found is None:
        return
    points, ways, deviation = found
    left, gouged = QPainterPath(), QPainterPath()
    for k in range(len(points)):
        d = float(deviation[k])
        if abs(d) < 2e-6:
            continue
        u, v = camera.to_pixels(*points[k])
        reach = float(np.clip(d * FRINGE * camera.scale, -60.0, 60.0))
        path = left if d > 0 else gouged
        path.moveTo(u, v)
        path.lineTo(u + ways[k, 0] * reach, v - ways[k, 1] * reach)
    for path, role in ((left, "lead_out"), (gouged, "error")):
        outline(painter, QColor(colours[role]), 1.6)
        painter.drawPath(path)
