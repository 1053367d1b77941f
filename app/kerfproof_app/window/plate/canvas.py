"""The plate view: what will be left of the plate and where the torch goes, to be looked at, measured and worked on.

What moves with the pointer or the scrubber lies over the still picture.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from kerfproof_app.window.plate.paint import legend, overlay, plate_background, plate_painter
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.plate.tools.select_tool import SelectTool
from kerfproof_app.window.plate.tools.tool import Tool
from kerfproof_app.window.widgets.pens import outline
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

if TYPE_CHECKING:  # a picture of a plan is made off the window's thread, and so is what it needs loaded
    from kerfproof_app.window.plate.scene.drawing_sketch import Sketch
    from kerfproof_app.window.plate.scene.plate_scene import Scene

ZOOM = 1.2


class Canvas(PlateView):
    """The plate view with what the hand does on it. `pointed` tells what lies under the pointer."""

    tool_changed = Signal(str)
    asked_menu = Signal(object)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.rulers = True
        self.at: tuple[float, float] | None = None
        self.tool: Tool = SelectTool(self)
        self._dragged: QPointF | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(240, 180)
        self.setAccessibleName(self.tr("Plate view"))
        self.setAccessibleDescription(
            self.tr("Shows the plate with the parts, the path of the torch and the pierces. N takes the next cut.")
        )
        self.destroyed.connect(session.listen(self.told))

    # --- what is shown ------------------------------------------------------------------------------------

    def told(self, change: Change) -> None:
        """Take note of a change of the session."""
        nothing = self.session.outcome is None
        if (change is Change.OUTCOME and nothing) or (
            self.sketch is not None and nothing and self.session.preview is None
        ):
            self.show_scene(None)
        if change in (Change.UNITS, Change.STATE):
            self.repaint_all()
        elif change in (Change.MOMENT, Change.SELECTION):
            self.update()

    def show_scene(self, scene: Scene | None) -> None:
        """Show another scene; the first of a drawing is fitted into the view."""
        old, self.scene, self.sketch = self.scene, scene, None
        self.picker = None
        if scene is not None:
            from kerfproof_app.window.plate.scene.picking import Picker

            self.picker = Picker(scene)
        self.found = None
        self.tool.scene_changed()
        if scene is not None and (old is None or self._fitted or _names(old) != _names(scene)):
            self.fit()
        self.repaint_all()

    def show_sketch(self, sketch: Sketch) -> None:
        """Show what is drawn, as long as there is no scene; another drawing is fitted into the view."""
        old, self.sketch = self.sketch, sketch
        if self.scene is None and (old is None or self._fitted or old.names != sketch.names):
            self.fit()
        self.repaint_all()

    def set_dark(self, dark: bool) -> None:
        """Take the colours of a theme."""
        self.dark = dark
        self.repaint_all()

    def show_layer(self, name: str, on: bool) -> None:
        """Paint one kind of thing, named as in `Shown`, or not."""
        self.shown = replace(self.shown, **{name: on})
        self.repaint_all()

    def show_rulers(self, rulers: bool) -> None:
        """Show the rulers or not."""
        self.rulers = rulers
        self.update()

    # --- painting -----------------------------------------------------------------------------------------

    def paint_still(self, painter: QPainter) -> None:
        """Paint all that does not move."""
        c = self.colours
        inches = self.session.shown_inches
        plate_background.paint_ground(painter, self.camera, c, None if self.scene is None else self.scene.plate, inches)
        if self.scene is not None:
            plate_painter.paint_sheet(painter, self.scene, self.camera, c, self.shown)
        elif self.sketch is not None:
            from kerfproof_app.window.plate.paint.sketch_painter import paint_sketch

            paint_sketch(painter, self.sketch, self.camera, c, inches)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the still picture and what lies over it."""
        painter = QPainter(self)
        painter.drawImage(0, 0, self.still())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        if self.scene is not None:
            overlay.paint_selection(painter, self)
            overlay.paint_found(painter, self)
            self.tool.paint(painter)
            overlay.paint_torch(painter, self)
        if self.rulers and self.whole is not None:
            plate_background.paint_rulers(painter, self.camera, self.colours, self.session.shown_inches, self.at)
        legend.paint_legend(painter, self)
        overlay.paint_state(painter, self)
        if self.hasFocus():
            outline(painter, QColor(self.colours["lead_out"]), 2)
            painter.drawRect(QRectF(1, 1, self.width() - 2, self.height() - 2))
        painter.end()

    # --- the hand -----------------------------------------------------------------------------------------

    def take(self, tool: Tool) -> None:
        """Work with another tool."""
        self.tool.leave()
        self.tool = tool
        self.setCursor(tool.cursor)
        self.update()
        self.tool_changed.emit(tool.name)

    def put_tool_away(self) -> None:
        """Go back to the tool that selects."""
        self.take(SelectTool(self))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag the picture, or hand the press to the tool."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() == Qt.MouseButton.MiddleButton:
            self._dragged = event.position()
        elif event.button() == Qt.MouseButton.LeftButton and not self.tool.press(event):
            self._dragged = event.position()
        elif event.button() == Qt.MouseButton.RightButton:
            self.asked_menu.emit(event)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the picture, hand the move to the tool, or tell what lies under the pointer."""
        self.at = self.place_of(event.position())
        if self._dragged is not None:
            step = event.position() - self._dragged
            self._dragged = event.position()
            self.pan(step.x(), step.y())
        elif not self.tool.move(event):
            self._point_at(event.position())
        event.accept()

    def _point_at(self, point: QPointF) -> None:
        found = self.thing_at(point)
        if found != self.found:
            self.found = found
            self.setCursor(self.tool.cursor_over(found))
        if self.at is not None:
            self.pointed.emit(*self.at, "" if found is None else overlay.told_of(found, self))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End what the press began."""
        self._dragged = None
        if event.button() == Qt.MouseButton.LeftButton:
            self.tool.release(event)
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Take a double click as a press."""
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom to the pointer; with Shift or sideways move the picture."""
        turn = event.angleDelta()
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier or abs(turn.x()) > abs(turn.y()):
            self.pan((turn.x() or turn.y()) / 2, 0.0)
        else:
            self.zoom(ZOOM ** (turn.y() / 120.0), event.position())
        self.at = self.place_of(event.position())
        event.accept()

    def leaveEvent(self, event: QEvent) -> None:
        """Forget the pointer."""
        self.at, self.found = None, None
        self.update()

    def event(self, event: QEvent) -> bool:
        """Show what lies under the pointer as a tool tip."""
        if event.type() == QEvent.Type.ToolTip:
            found = self.thing_at(QPointF(event.pos()))  # type: ignore[attr-defined]
            if found is None:
                QToolTip.hideText()
            else:
                QToolTip.showText(event.globalPos(), overlay.told_of(found, self).replace(" · ", "\n"), self)  # type: ignore[attr-defined]
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move and zoom by keys, unless the tool wants the key."""
        if self.tool.key(event):
            event.accept()
            return
        step = 60.0
        moves = {
            Qt.Key.Key_Left: (step, 0.0), Qt.Key.Key_Right: (-step, 0.0),
            Qt.Key.Key_Up: (0.0, step), Qt.Key.Key_Down: (0.0, -step),
        }  # fmt: skip
        key = Qt.Key(event.key())
        if key in moves:
            self.pan(*moves[key])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(ZOOM)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1 / ZOOM)
        elif key == Qt.Key.Key_Escape:
            self.put_tool_away()
        else:
            super().keyPressEvent(event)
            return
        event.accept()


def _names(scene: Scene) -> tuple[str, ...]:
    return tuple(drawing.name for drawing in scene.outcome.drawings)
