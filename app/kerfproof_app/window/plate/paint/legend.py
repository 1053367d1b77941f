"""What the colours of the plate view mean, along its lower edge."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QLinearGradient, QPainter, QPen

from kerfproof.units import format_time
from kerfproof_app.window.plate.paint.plate_painter import FRINGE, FRINGE_FROM
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.widgets.color_ramp import ramp
from kerfproof_app.window.widgets.pens import faded, take_letters
from kerfproof_app.window.widgets.words import tr


def paint_legend(painter: QPainter, canvas: PlateView) -> None:
    """Paint what the colours mean, the ramp with its times first, along the lower edge."""
    scene, c = canvas.scene, canvas.colours
    items = legend_items(canvas)
    if canvas.width() < 420 or (scene is None and not items):
        return
    metrics = take_letters(painter, 11)
    seconds = _seconds(canvas)
    ramp_wide = 132.0
    times = (format_time(0), format_time(round(seconds)))
    sides = metrics.horizontalAdvance(times[0]) + metrics.horizontalAdvance(times[1]) + 22 if seconds else 0.0
    room = canvas.width() - 60.0
    wide = ramp_wide + sides + 10 if seconds else 0.0
    kept = []
    for kind, text in items:
        need = 26 + metrics.horizontalAdvance(text) + 12
        if wide + need > room:
            break
        kept.append((kind, text, wide))
        wide += need
    box = QRectF(canvas.width() - wide - 22, canvas.height() - 34, wide + 12, 26)
    painter.setPen(QPen(QColor(c["rule"]), 1.0))
    painter.setBrush(faded(QColor(c["paper"]), 225))
    painter.drawRoundedRect(box, 6, 6)
    y = box.center().y()
    if seconds:
        _ramp(painter, canvas, box.left() + 8, y, ramp_wide, times, metrics)
    for kind, text, begin in kept:
        x = box.left() + 8 + begin
        _key(painter, canvas, kind, x, y)
        painter.setPen(QColor(c["ink"]))
        painter.drawText(QPointF(x + 24, y + metrics.ascent() / 2 - 1), text)


def _seconds(canvas: PlateView) -> float:
    """Return how long the program lasts whose path is coloured by time; 0 if none is."""
    scene = canvas.scene
    if scene is None or scene.timeline is None or scene.picture.notice:
        return 0.0
    return scene.timeline.seconds


def _drawn_words() -> tuple[tuple[str, str], ...]:
    return (
        ("slit", tr("slit")),
        ("mark", tr("mark")),
        ("drill", tr("to drill")),
        ("uncut", tr("not cut")),
        ("ignored", tr("ignored")),
    )


def legend_items(canvas: PlateView) -> list[tuple[str, str]]:
    """Return what is explained: kinds with their words."""
    scene = canvas.scene
    if scene is None:
        roles = set() if canvas.sketch is None else {role for role, _batch in canvas.sketch.layers}
        return [(role, text) for role, text in _drawn_words() if role in roles]
    items = []
    if len(scene.leads_in):
        items += [("lead_in", tr("lead-in")), ("lead_out", tr("over-burn, lead-out"))]
    if canvas.shown.travel and len(scene.travel):
        items.append(("travel", tr("way of the raised torch") if scene.picture.notice else tr("travel")))
    if canvas.shown.craters and len(scene.pierces) and not scene.picture.notice:
        items.append(("crater", tr("crater of the pierce")))
    items += [(role, text) for role, text in _drawn_words() if role in scene.extra]
    if canvas.shown.deviation and canvas.camera.scale >= FRINGE_FROM and scene.outcome.parts.parts:
        items.insert(0, ("fringe", tr("edge off by, × {times:.0f}").format(times=FRINGE)))
    return items


def _ramp(
    painter: QPainter,
    canvas: PlateView,
    x: float,
    y: float,
    wide: float,
    times: tuple[str, str],
    metrics: QFontMetricsF,
) -> None:
    ink = QColor(canvas.colours["ink"])
    painter.setPen(ink)
    painter.drawText(QPointF(x, y + metrics.ascent() / 2 - 1), times[0])
    left = x + metrics.horizontalAdvance(times[0]) + 6
    shade = QLinearGradient(left, y, left + wide, y)
    colours = ramp()
    for k, colour in enumerate(colours):
        shade.setColorAt(k / (len(colours) - 1), colour)
    painter.setPen(QPen(QColor(canvas.colours["kerf"]), 1.0))
    painter.setBrush(shade)
    painter.drawRoundedRect(QRectF(left, y - 5, wide, 10), 3, 3)
    timeline = canvas.session.timeline
    if timeline is not None and canvas.session.moment_s > 0 and timeline.seconds > 0:
        at = left + wide * canvas.session.moment_s / timeline.seconds
        painter.setPen(QPen(ink, 2.0))
        painter.drawLine(QPointF(at, y - 8), QPointF(at, y + 8))
    painter.setPen(ink)
    painter.drawText(QPointF(left + wide + 6, y + metrics.ascent() / 2 - 1), times[1])


def _key(painter: QPainter, canvas: PlateView, kind: str, x: float, y: float) -> None:
    c = canvas.colours
    if kind == "crater":
        ink = QColor(c["lead_in"])
        painter.setPen(QPen(ink, 1.0, Qt.PenStyle.DotLine))
        painter.setBrush(faded(ink, 38))
        painter.drawEllipse(QPointF(x + 10, y), 7, 7)
        painter.setBrush(ink)
        painter.drawEllipse(QPointF(x + 10, y), 2, 2)
        return
    styles = {"travel": Qt.PenStyle.DashLine, "mark": Qt.PenStyle.DotLine, "uncut": Qt.PenStyle.DashLine}
    role = "lead_out" if kind == "fringe" else kind
    width = 3.0 if kind in ("lead_in", "lead_out") else 1.6
    painter.setPen(QPen(QColor(c[role]), width, styles.get(kind, Qt.PenStyle.SolidLine)))
    painter.drawLine(QPointF(x, y), QPointF(x + 19, y))
