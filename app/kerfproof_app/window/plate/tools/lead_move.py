"""A lead in the hand: it slides along its contour and says at every place whether it fits there."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from kerfproof.sentence import named, say
from kerfproof.units import format_length
from kerfproof_app.window.plate.paint.plate_background import label
from kerfproof_app.window.plate.paint.plate_painter import world
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.plate.scene.qt_paths import painter_path
from kerfproof_app.window.widgets.pens import faded, thin_pen
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work import job_edits

if TYPE_CHECKING:
    from kerfproof.api import LeadBench, LeadTry

SNAP = 10.0
"""Pixels within which a lead snaps."""
SIGNS = {"clear": "✓", "tight": "≈"}


class LeadMove:
    """The lead of one feature while it is moved: `tried` is the verdict where it is, `snapped` why it sits there."""

    def __init__(self, canvas: PlateView, feature: int, bench: LeadBench) -> None:
        self.canvas, self.feature, self.bench = canvas, feature, bench
        scene = canvas.scene
        assert scene is not None
        self.outcome = scene.outcome
        cut = job_edits.cut_of(self.outcome, feature)
        assert cut is not None
        pin = job_edits.pin_index(self.outcome.job, self.outcome, feature)
        self.pin = None if pin is None else self.outcome.job.pins[pin]
        self.shape = None if self.pin is None else self.pin.shape
        self.size = None if self.pin is None else self.pin.size
        x, y = cut.contour.start
        self.home = (float(x), float(y))
        """Where the lead was taken up: the last good place."""
        from kerfproof.api import Snap

        self.snaps = [*bench.snaps(feature), Snap("last good place", self.home)]
        self.path = bench.kerf_path(feature)
        self._total = self.path.length()
        self.snapped = ""
        self.moved = False
        self.tried = self._judge(self.home)

    @staticmethod
    def begin(canvas: PlateView, feature: int) -> LeadMove | None:
        """Return the feature's lead in the hand, None if none can be moved or the picture is an old one."""
        scene = canvas.scene
        if scene is None or scene.outcome.plan is None or canvas.session.state != "current":
            return None
        bench = scene.bench()
        if not bench.knows(feature) or job_edits.cut_of(scene.outcome, feature) is None:
            return None
        return LeadMove(canvas, feature, bench)

    @staticmethod
    def why_not(canvas: PlateView, feature: int) -> str:
        """Return why the lead of a feature can't be taken in hand, as one sentence; empty where it can."""
        scene, state = canvas.scene, canvas.session.state
        if scene is None or feature not in scene.by_number:
            return ""
        if state == "checking":
            return tr("The lead can be moved once the last change is checked.")
        if canvas.session.stopped:
            return tr("The lead can be moved once the job is checked.")
        if state != "current":
            return tr("The lead can be moved once the job can be planned.")
        known = scene.by_number[feature]
        if job_edits.cut_of(scene.outcome, feature) is None:
            return canvas.session.said(say(tr("{label} is not cut, so it has no lead."), label=named(known.label)))
        if not scene.bench().knows(feature):
            return tr(
                "A slit is pierced on its line. It can begin at its other end: From the other side, on the page Cuts."
                "\nDrawn as a slot it has a lead to move."
            )
        return ""

    def _judge(self, point: tuple[float, float]) -> LeadTry:
        try:
            return self.bench.judge(self.feature, point, self.shape, self.size)
        except ValueError:  # the shape has no place here
            return self.bench.judge(self.feature, point)

    def slide_to(self, point: tuple[float, float], *, free: bool = False) -> None:
        """Slide the lead to the place on the contour that is nearest to a point."""
        on = self.bench.nearest(self.feature, point)
        self.snapped = ""
        if not free:
            reach = SNAP / self.canvas.camera.scale
            near = [(math.dist(on, snap.at), k) for k, snap in enumerate(self.snaps)]
            away, best = min(near)
            if away <= reach:
                on, self.snapped = self.snaps[best].at, self.snaps[best].kind
        self.moved = True
        self.tried = self._judge(on)

    def step(self, mm: float) -> None:
        """Move the lead along the contour, in the direction of the cut."""
        here = self._along(self.tried.at)
        piece = self.path.part((here + mm) % self._total, (here + mm) % self._total + 1e-3)
        x, y = piece.start
        self.snapped, self.moved = "", True
        self.tried = self._judge((float(x), float(y)))

    def hop(self, step: int) -> None:
        """Move the lead to the next corner or middle along the contour."""
        here = self._along(self.tried.at)
        places = sorted((self._along(s.at), k) for k, s in enumerate(self.snaps))
        if step > 0:
            best = next((k for at, k in places if at > here + 0.05), places[0][1])
        else:
            best = next((k for at, k in reversed(places) if at < here - 0.05), places[-1][1])
        self.snapped, self.moved = self.snaps[best].kind, True
        self.tried = self._judge(self.snaps[best].at)

    def _along(self, point: tuple[float, float]) -> float:
        """Return how far along the contour a place on it lies."""
        return self.bench.along(self.feature, point)

    def next_shape(self) -> None:
        """Take the next shape that suits this contour."""
        names = list(self.bench.shapes_for(self.feature))
        self.shape = names[(names.index(self.tried.shape) + 1) % len(names)]
        self.size, self.moved = None, True
        self.tried = self._judge(self.tried.at)

    def words(self) -> str:
        """Return the verdict in words, for the line below and for screen readers."""
        parts = [
            tr("lead of {label}").format(label=self._called(self.feature)),
            tr(self.tried.word),
            *map(tr, self.tried.reasons),
        ]
        return " · ".join([*parts, *self._pushed(), *([tr(self.snapped)] if self.snapped else [])])

    def _pushed(self) -> list[str]:
        """Return which other leads would have to give way here, as a phrase, or nothing."""
        labels = [self._called(number) for number in self.tried.push]
        if not labels:
            return []
        more = f" +{len(labels) - 1}" if len(labels) > 1 else ""
        return [tr("the lead of {label} gives way").format(label=labels[0] + more)]

    def _called(self, number: int) -> str:
        return self.canvas.session.said(named(job_edits.feature_of(self.outcome, number).label))

    def drop(self) -> None:
        """Leave the lead here: the job changes, and plan, program and proof follow."""
        if not self.moved:
            return
        session = self.canvas.session
        if session.job is None or self.outcome is not session.outcome:
            return
        pin = job_edits.pin_at(self.outcome, self.feature, self.tried, shape=self.tried.shape, size=self.size)
        label_ = job_edits.feature_of(self.outcome, self.feature).label
        job = job_edits.with_order_kept(session.job, self.outcome)
        session.edit(
            job_edits.with_pin(job, self.outcome, self.feature, pin),
            tr("move the lead of {label}").format(label=label_),
        )
        if not self.tried.fits:
            session.say(
                tr("There the lead of {label} does not fit: {why}. Another start was taken.").format(
                    label=label_, why=self.tried.reasons[0]
                )
            )

    def paint(self, painter: QPainter) -> None:
        """Paint the lead with its crater, the verdict beside it, the contour it slides on and its snaps."""
        canvas, c, camera = self.canvas, self.canvas.colours, self.canvas.camera
        tried = self.tried
        ink = QColor(c["good"] if tried.word == "clear" else c["warning"] if tried.fits else c["error"])
        painter.save()
        painter.setTransform(world(camera), True)
        painter.setPen(thin_pen(painter, QColor(c["hot"]), 1.5, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(painter_path([self.path]))
        wide = canvas.scene.outcome.process.kerf if canvas.scene else 1.0
        painter.setPen(QPen(faded(ink, 110), wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        lead = painter_path([tried.path])
        painter.drawPath(lead)
        painter.setPen(thin_pen(painter, ink, 2.5))
        painter.drawPath(lead)
        painter.restore()
        self._snaps(painter)
        u, v = camera.to_pixels(*tried.pierce)
        r = max(tried.crater_radius * camera.scale, 4.0)
        painter.setPen(QPen(ink, 2.0))
        painter.setBrush(faded(ink, 70))
        painter.drawEllipse(QPointF(u, v), r, r)
        painter.setBrush(ink)
        painter.drawEllipse(QPointF(u, v), 3.5, 3.5)
        self._verdict(painter, u, v, r, ink)

    def _snaps(self, painter: QPainter) -> None:
        c, camera = self.canvas.colours, self.canvas.camera
        painter.setPen(QPen(QColor(c["ink"]), 1.0))
        painter.setBrush(QColor(c["hot"]))
        for snap in self.snaps:
            u, v = camera.to_pixels(*snap.at)
            painter.drawRect(int(u) - 3, int(v) - 3, 6, 6)

    def _verdict(self, painter: QPainter, u: float, v: float, r: float, ink: QColor) -> None:
        canvas, c, tried = self.canvas, self.canvas.colours, self.tried
        inches = canvas.session.shown_inches
        sign = SIGNS.get(tried.word, "✕")
        said = QColor(c["good_ink"] if tried.word == "clear" else c["warning_ink"] if tried.fits else c["error_ink"])
        size = f"{tr(tried.shape.replace('_', ' '))} {format_length(tried.size, inches, 1 + inches)}"
        more = f" · {tr(self.snapped)}" if self.snapped else ""
        first = f"{sign} {tr(tried.word)}"
        x = u + r + 10
        if x > canvas.width() - 260:
            x = u - r - 270
        y = min(max(v, 40.0), canvas.height() - 60.0)
        box = label(painter, x, y, first, said, ink, size=13)
        paper = faded(QColor(c["paper"]), 230)
        below = label(painter, x, box.bottom() + 13, size + more, QColor(c["ink"]), paper, size=11)
        for phrase in map(canvas.session.said, [*map(tr, tried.reasons[:1]), *self._pushed()]):
            below = label(painter, x, below.bottom() + 13, phrase, QColor(c["ink"]), paper, size=11)
