"""The hand that looks: select, drag the picture, slide a lead."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter

from kerfproof_app.window.plate.paint.plate_background import label
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.plate.tools.lead_move import LeadMove
from kerfproof_app.window.plate.tools.tool import Tool, free_hand

if TYPE_CHECKING:
    from kerfproof_app.window.plate.scene.picking import PickedThing

CLICK = 4.0
"""A press that moves less (pixels) is a click."""


class SelectTool(Tool):
    """Select by click, drag the picture, grab a lead and slide it; N and the arrow keys do the same by keyboard."""

    name = "look"

    def __init__(self, canvas: PlateView) -> None:
        super().__init__(canvas)
        self.lead: LeadMove | None = None
        self._pressed: QPointF | None = None
        self.refused = ""
        """Why the lead that was wanted can't be moved."""
        self._refused_at = (0.0, 0.0)

    def press(self, event: QMouseEvent) -> bool:
        """Grab a lead, or note where a click began."""
        self._pressed = event.position()
        found = self.canvas.thing_at(event.position())
        self.refused = ""
        if found is not None and found.kind in ("lead", "pierce") and found.feature is not None:
            self.grab(found.feature)
            return self.lead is not None
        if self.lead is not None:
            self.leave()
        return False

    def grab(self, feature: int) -> None:
        """Take hold of a feature's lead."""
        self.lead = LeadMove.begin(self.canvas, feature)
        if self.lead is not None:
            self.canvas.session.select((feature,))
            self.canvas.setCursor(Qt.CursorShape.ClosedHandCursor)
            self.refused = ""
            self._tell()
        else:
            self._refuse(feature)
        self.canvas.update()

    def _tell(self) -> None:
        """Tell the verdict on the lead in hand in the line below, too."""
        if self.lead is not None:
            self.canvas.pointed.emit(*self.lead.tried.at, self.lead.words())

    def _refuse(self, feature: int) -> None:
        """Say at the cut, and in the line below, why its lead can't be moved."""
        self.refused = LeadMove.why_not(self.canvas, feature)
        scene = self.canvas.scene
        if self.refused and scene is not None:
            cut = scene.cut_of.get(feature)
            x0, y0, _, _ = scene.by_number[feature].contour.path.bounds()
            self._refused_at = (x0, y0) if cut is None else (float(scene.pierces[cut, 0]), float(scene.pierces[cut, 1]))
            self.canvas.pointed.emit(*self._refused_at, self.refused.replace("\n", " "))

    def move(self, event: QMouseEvent) -> bool:
        """Slide the lead along its contour."""
        if self.lead is None or self._pressed is None:
            return False
        self.lead.slide_to(self.canvas.place_of(event.position()), free=free_hand(event))
        self._tell()
        self.canvas.update()
        return True

    def release(self, event: QMouseEvent) -> None:
        """Drop the lead, or select what was clicked."""
        pressed, self._pressed = self._pressed, None
        if self.lead is not None:
            lead, self.lead = self.lead, None
            self.canvas.setCursor(self.cursor)
            lead.drop()
            self.canvas.update()
            return
        if pressed is None:
            return
        step = event.position() - pressed
        if math.hypot(step.x(), step.y()) < CLICK:
            self._click(event)

    def _click(self, event: QMouseEvent) -> None:
        canvas, session = self.canvas, self.canvas.session
        found = canvas.thing_at(event.position())
        more = bool(event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier))
        old = session.selection
        if found is not None and found.loose is not None:
            loose = _with(old.loose, (found.loose,)) if more else (found.loose,)
            session.select(old.features if more else (), loose=loose)
            return
        if found is None or found.feature is None:
            session.select(())
            return
        chosen: tuple[int, ...] = (found.feature,)
        if found.kind == "part" and found.part is not None and canvas.scene is not None:
            chosen = tuple(f.number for f in canvas.scene.outcome.parts.parts[found.part].features)
        if more:
            chosen = _with(old.features, chosen)
        session.select(tuple(dict.fromkeys(chosen)), loose=old.loose if more else ())
        if found.kind != "part" and session.timeline is not None:
            moment = session.timeline.moment_near(*canvas.place_of(event.position()))
            if moment is not None:
                session.go_to(moment)

    def key(self, event: QKeyEvent) -> bool:
        """Move the selected lead by keys: N next, arrows along the contour, Enter drops, Escape gives up."""
        key, canvas = Qt.Key(event.key()), self.canvas
        if self.refused:
            self.refused = ""
            canvas.update()
        if self.lead is not None:
            big = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
                self.lead.step((1 if key == Qt.Key.Key_Right else -1) * (10.0 if big else 1.0))
            elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
                self.lead.hop(1 if key == Qt.Key.Key_Up else -1)
            elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                lead, self.lead = self.lead, None
                lead.drop()
            elif key == Qt.Key.Key_Escape:
                self.leave()
            elif key == Qt.Key.Key_S:
                self.lead.next_shape()
            else:
                return False
            self._tell()
            canvas.update()
            return True
        if key in (Qt.Key.Key_N, Qt.Key.Key_P):
            self._next(1 if key == Qt.Key.Key_N else -1)
            return True
        if key == Qt.Key.Key_M and canvas.session.selection.features:
            self.grab(canvas.session.selection.features[0])
            return True
        return False

    def _next(self, step: int) -> None:
        """Select the next cut."""
        scene, session = self.canvas.scene, self.canvas.session
        cuts = scene.outcome.plan.cuts if scene is not None and scene.outcome.plan else ()
        if not cuts:
            return
        now = [k for k, cut in enumerate(cuts) if cut.feature in session.selection.features]
        at = (now[0] + step) % len(cuts) if now else (0 if step > 0 else len(cuts) - 1)
        session.select((cuts[at].feature,))
        x, y = cuts[at].pierce
        x0, y0, x1, y1 = self.canvas.camera.seen(-40)
        if not (x0 < x < x1 and y0 < y < y1):
            self.canvas.fly_to(x, y, 0.0)

    def leave(self) -> None:
        """Give the lead up where it was."""
        self.lead = None
        self._pressed = None
        self.canvas.setCursor(self.cursor)
        self.canvas.update()

    def scene_changed(self) -> None:
        """Let go of a lead: it belongs to the old scene."""
        self.lead, self.refused = None, ""

    def paint(self, painter: QPainter) -> None:
        """Paint the lead that is held."""
        if self.lead is not None:
            self.lead.paint(painter)
        elif self.refused:
            c, (u, v) = self.canvas.colours, self.canvas.camera.to_pixels(*self._refused_at)
            for k, line in enumerate(self.refused.splitlines()):
                label(painter, u + 14, v + 22 * k, line, QColor(c["warning_ink"]), QColor(c["warning"]))

    def cursor_over(self, found: PickedThing | None) -> Qt.CursorShape:
        """Show a hand over what can be grabbed or clicked."""
        if found is None:
            return self.cursor
        return Qt.CursorShape.OpenHandCursor if found.kind == "lead" else Qt.CursorShape.PointingHandCursor


def _with(old: tuple[int, ...], chosen: tuple[int, ...]) -> tuple[int, ...]:
    """Return a selection with more chosen, or with them taken out if all were in it."""
    return tuple(n for n in old if n not in chosen) if set(chosen) <= set(old) else (*old, *chosen)
