"""The height trace: how high the tip is over the plate, second by second, and when the torch burns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QWheelEvent
from PySide6.QtWidgets import QToolTip, QWidget

from kerfproof.geom.path import Floats
from kerfproof.units import format_length
from kerfproof_app.window.program.height_picture import Scale, bounds_of, clock, paint_heights
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.pens import faded, outline
from kerfproof_app.window.widgets.tones import Tones, tones_of
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:
    from kerfproof.api import Timeline

_SHORTEST = 0.25
"""Seconds over the whole width at the closest look."""
_CLICK = 4
"""Pixels within which a press and its release are a click."""
_STEPS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_PageUp: -10, Qt.Key.Key_PageDown: 10}


class HeightTrace(Panel):
    """The height over time. A click goes to the moment; the wheel zooms, a drag moves, Home shows all."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setAccessibleName(self.tr("Height of the tip over time"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(72)
        self._left, self._right = 0.0, 1.0
        self._pressed: tuple[float, float, float] | None = None
        self._moved = False
        self._line: Timeline | None = None
        self._curve: Floats = np.empty((0, 2))
        self._burning: Floats = np.empty((0, 2))
        self._bounds = bounds_of(self._curve)
        self._picture: tuple[object, QPixmap] | None = None
        self._take()

    def sizeHint(self) -> QSize:
        """Return a wide, low strip."""
        return QSize(640, 130)

    # --- what is shown ----------------------------------------------------------------------------------------

    def told(self, change: Change) -> None:
        """Follow the session."""
        if change is Change.OUTCOME:
            self._take()
        elif change is Change.MOMENT:
            self._keep_in_sight()
            self._describe()
        if change in (Change.OUTCOME, Change.MOMENT, Change.UNITS, Change.STATE):
            self.update()

    def _take(self) -> None:
        line = self.session.timeline
        if line is self._line and line is not None:
            return
        before = 1.0 if self._line is None else max(self._line.seconds, 1e-9)
        whole = self._line is None or self._right - self._left >= before * 0.999
        self._line = line
        self.show_curve(
            np.empty((0, 2)) if line is None else line.heights(), np.empty((0, 2)) if line is None else line.burning()
        )
        if whole:
            self.show_all()
        else:
            self._show(self._left, self._right)
        self._describe()

    def show_curve(self, curve: Floats, burning: Floats) -> None:
        """Show heights over time (m, 2) and the stretches with the torch on (k, 2)."""
        self._curve, self._burning = curve, burning
        self._bounds = bounds_of(curve)
        self._picture = None
        self.update()

    def _describe(self) -> None:
        moment = self.session.moment
        if moment is None:
            self.setAccessibleDescription(self.tr("There is no program yet"))
            return
        if moment.height is None:
            self.setAccessibleDescription(self._without_curve())
            return
        burning = self.tr("torch on") if moment.torch else self.tr("torch off")
        words = self.tr("At {0} the tip is {1} over the plate, {2}")
        self.setAccessibleDescription(words.format(clock(moment.seconds), self._length(moment.height), burning))

    def _length(self, mm: float) -> str:
        return format_length(mm, self.session.shown_inches, 3 if self.session.shown_inches else 2)

    def show_all(self) -> None:
        """Show the whole program."""
        self._show(0.0, self._whole())

    def _whole(self) -> float:
        return max(0.0 if self._line is None else self._line.seconds, _SHORTEST)

    def _show(self, left: float, right: float) -> None:
        span = min(max(right - left, _SHORTEST), self._whole())
        left = min(max(left, 0.0), self._whole() - span)
        self._left, self._right = left, left + span
        self.update()

    def zoom(self, factor: float, about_s: float) -> None:
        """Show `factor` times as long a stretch, keeping `about_s` where it is."""
        span = min(max((self._right - self._left) * factor, _SHORTEST), self._whole())
        share = (about_s - self._left) / (self._right - self._left)
        self._show(about_s - span * share, about_s + span * (1 - share))

    def _keep_in_sight(self) -> None:
        now, span = self.session.moment_s, self._right - self._left
        if self._pressed is None and not self._left <= now <= self._right:
            self._show(now - span * 0.2, now + span * 0.8)

    # --- places and painting ----------------------------------------------------------------------------------

    @property
    def scale(self) -> Scale:
        """Where seconds and heights lie now."""
        letters = self.fontMetrics()
        aside = letters.horizontalAdvance("-25 mm") + 14
        wide, high = max(self.width() - aside - 8, 1), max(self.height() - letters.height() - 14, 1)
        return Scale(aside, 6, wide, high, self._left, self._right, *self._bounds)

    def x_of(self, seconds: float) -> float:
        """Return where a second lies."""
        return self.scale.x_of(seconds)

    def second_at(self, x: float) -> float:
        """Return the second that lies at a pixel."""
        return self.scale.second_at(x)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the trace: the still part from its picture, the needle over it."""
        painter = QPainter(self)
        tones, scale = tones_of(self), self.scale
        if not len(self._curve):
            painter.fillRect(scale.field, tones.field)
            painter.setPen(tones["faint"])
            words = self._without_curve()
            painter.drawText(scale.field, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, words)
        else:
            painter.drawPixmap(0, 0, self._still(scale, tones))
            self._paint_needle(painter, scale, tones)
            if self.session.state != "current":
                self._paint_old(painter, scale, tones)
        if self.hasFocus():
            outline(painter, tones["good"], 1.5)
            painter.drawRect(scale.field)
        painter.end()

    def _without_curve(self) -> str:
        if self._line is None:
            return self.tr("The height of the tip over time stands here once there is a program.")
        return self.tr("The torch stays off and the head as high as you put it: see that it clears plate and clamps.")

    def _still(self, scale: Scale, tones: Tones) -> QPixmap:
        """Return the picture of all that does not move with the scrubber, made anew only where something changed."""
        ratio = self.devicePixelRatioF()
        key = (scale, tones, self.session.shown_inches, self.width(), self.height(), ratio, self.font().toString())
        if self._picture is None or self._picture[0] != key:
            made = QPixmap(int(self.width() * ratio), int(self.height() * ratio))
            made.setDevicePixelRatio(ratio)
            made.fill(Qt.GlobalColor.transparent)
            painter = QPainter(made)
            painter.setFont(self.font())
            paint_heights(painter, scale, self._curve, self._burning, tones, inches=self.session.shown_inches)
            painter.end()
            self._picture = (key, made)
        return self._picture[1]

    def _paint_old(self, painter: QPainter, scale: Scale, tones: Tones) -> None:
        """Pale what is of the job before the last change, and say so."""
        painter.fillRect(scale.field, faded(tones.field, 150))
        painter.setPen(tones["ink"])
        words = self.tr("This is the program before the last change")
        painter.drawText(scale.field, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_needle(self, painter: QPainter, scale: Scale, tones: Tones) -> None:
        moment = self.session.moment
        if moment is None or moment.height is None or not scale.left <= moment.seconds <= scale.right:
            return
        x = scale.x_of(moment.seconds)
        painter.setPen(QPen(tones.needle, 2))
        painter.drawLine(QPointF(x, scale.field.top()), QPointF(x, scale.field.bottom()))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(tones.needle)
        painter.setPen(QPen(tones.field, 1.5))
        painter.drawEllipse(QPointF(x, scale.y_of(moment.height)), 5, 5)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    # --- hands ------------------------------------------------------------------------------------------------

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom at the pointer; sideways scrolling moves."""
        turn = event.angleDelta()
        if abs(turn.x()) > abs(turn.y()):
            shift = -turn.x() / 1200 * (self._right - self._left)
            self._show(self._left + shift, self._right + shift)
        elif turn.y():
            self.zoom(0.8 ** (turn.y() / 120), self.second_at(event.position().x()))
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click or a drag."""
        self._pressed, self._moved = (event.position().x(), self._left, self._right), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the stretch in sight with the hand."""
        if self._pressed is None:
            return
        x, left, right = self._pressed
        way = event.position().x() - x
        if self._moved or abs(way) > _CLICK:
            self._moved = True
            shift = -way / self.scale.field_width * (right - left)
            self._show(left + shift, right + shift)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Go to the moment clicked."""
        was, self._pressed = self._pressed, None
        if was is not None and not self._moved and event.button() is Qt.MouseButton.LeftButton:
            self.session.go_to(self.second_at(event.position().x()))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole program."""
        self.show_all()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step with the arrows, zoom with + and -, show all with Home."""
        way = _STEPS.get(Qt.Key(event.key()))
        if way is not None:
            self.session.go_to(self.session.moment_s + way * (self._right - self._left) / 200)
        elif event.key() in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(0.8, self.session.moment_s)
        elif event.key() == Qt.Key.Key_Minus:
            self.zoom(1.25, self.session.moment_s)
        elif event.key() == Qt.Key.Key_Home:
            self.show_all()
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Tell time, height and line under the pointer as a tip."""
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.tip_at(event.pos().x()), self)
            return True
        return super().event(event)

    def tip_at(self, x: float) -> str:
        """Return what happens at the second under a pixel."""
        moment = None if self._line is None else self._line.at(self.second_at(x))
        if moment is None or moment.height is None:
            return ""
        burning = self.tr("torch on") if moment.torch else self.tr("torch off")
        words = self.tr("{0}: tip {1} over the plate, {2}, line {3}")
        return words.format(clock(moment.seconds), self._length(moment.height), burning, moment.line)
