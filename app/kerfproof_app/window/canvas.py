"""The plate view: what will be left of the plate and where the torch goes, to be looked at, measured and worked on.

The still picture is kept as an image and painted anew only when the view, the scene or the theme changes; what moves
with the pointer or the scrubber lies over it.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from kerfproof_app.session import Session
from kerfproof_app.window import ground, overlay, sheet
from kerfproof_app.window.camera import Box, Camera
from kerfproof_app.window.look import Look
from kerfproof_app.window.picking import Found, Picker
from kerfproof_app.window.scene import Scene
from kerfproof_app.window.sheet import Shown
from kerfproof_app.window.theme import colours
from kerfproof_app.window.tool import Tool

REACH = 9.0
"""Pixels within which the pointer takes hold of something."""
ZOOM = 1.2


class Canvas(QWidget):
    """The plate view. `pointed` tells the place under the pointer (mm) and what lies there."""

    pointed = Signal(float, float, str)
    tool_changed = Signal(str)
    asked_menu = Signal(object)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.scene: Scene | None = None
        self.picker: Picker | None = None
        self.camera = Camera()
        self.dark = False
        self.shown = Shown()
        self.rulers = True
        self.found: Found | None = None
        self.at: tuple[float, float] | None = None
        self.tool: Tool = Look(self)
        self.frames = 0
        """How many times the still picture was painted."""
        self._still: QImage | None = None
        self._fitted = True
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

    def told(self, word: str) -> None:
        """Take note of a change of the session."""
        if word == "outcome" and self.session.outcome is None:
            self.show_scene(None)
        if word in ("units", "state"):
            self.repaint_all()
        elif word in ("moment", "selection"):
            self.update()

    def show_scene(self, scene: Scene | None) -> None:
        """Show another scene; the first of a drawing is fitted into the view."""
        old, self.scene = self.scene, scene
        self.picker = None if scene is None else Picker(scene)
        self.found = None
        self.tool.scene_changed()
        if scene is not None and (old is None or self._fitted or _names(old) != _names(scene)):
            self.fit()
        self.repaint_all()

    def set_dark(self, dark: bool) -> None:
        """Take the colours of a theme."""
        self.dark = dark
        self.repaint_all()

    def show_only(self, shown: Shown) -> None:
        """Choose what of the picture is painted."""
        self.shown = shown
        self.repaint_all()

    def show_rulers(self, rulers: bool) -> None:
        """Show the rulers or not."""
        self.rulers = rulers
        self.update()

    @property
    def colours(self) -> dict[str, str]:
        """The table of colours by role."""
        return colours(self.dark)

    # --- the view -----------------------------------------------------------------------------------------

    @property
    def _whole(self) -> Box | None:
        return None if self.scene is None else self.scene.plate

    def fit(self) -> None:
        """Show the whole plate."""
        if self._whole is not None:
            self._look(self.camera.fitted(self._whole), fitted=True)

    def zoom(self, factor: float, at: QPointF | None = None) -> None:
        """Enlarge the picture, the place at a pixel held fast (without: the middle)."""
        u, v = (at.x(), at.y()) if at is not None else (self.width() / 2, self.height() / 2)
        self._look(self.camera.zoomed(factor, u, v))

    def pan(self, du: float, dv: float) -> None:
        """Move the picture by pixels."""
        self._look(self.camera.moved(du, dv))

    def fly_to(self, x: float, y: float, scale: float = 6.0) -> None:
        """Bring a place to the middle, near enough to see it."""
        self._look(self.camera.centered(x, y, scale))

    def look_at(self, box: Box) -> None:
        """Bring a box into view, not nearer than makes sense."""
        camera = self.camera.fitted(box, 60.0)
        self._look(camera if camera.scale <= 20.0 else self.camera.centered(camera.x, camera.y, 20.0))

    def _look(self, camera: Camera, *, fitted: bool = False) -> None:
        self._fitted = fitted
        if camera != self.camera:
            self.camera = camera
            self.repaint_all()

    def repaint_all(self) -> None:
        """Paint the still picture anew."""
        self._still = None
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the middle of the view, or the whole plate in it."""
        self.camera = self.camera.resized(self.width(), self.height())
        if self._fitted:
            self.fit()
        self.repaint_all()

    # --- painting -----------------------------------------------------------------------------------------

    def paint_still(self, painter: QPainter) -> None:
        """Paint all that does not move."""
        c = self.colours
        ground.paint_ground(painter, self.camera, c, self._whole, self.session.shown_inches)
        if self.scene is not None:
            sheet.paint_sheet(painter, self.scene, self.camera, c, self.shown)
        self.frames += 1

    def still(self) -> QImage:
        """Return the still picture, painted if need be."""
        ratio = self.devicePixelRatioF()
        if self._still is None:
            image = QImage(
                max(int(self.width() * ratio), 1), max(int(self.height() * ratio), 1),
                QImage.Format.Format_RGB32,
            )  # fmt: skip
            image.setDevicePixelRatio(ratio)
            painter = QPainter(image)
            painter.setFont(self.font())
            self.paint_still(painter)
            painter.end()
            self._still = image
        return self._still

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
        if self.rulers and self.scene is not None:
            ground.paint_rulers(painter, self.camera, self.colours, self.session.shown_inches, self.at)
        if self.scene is not None:
            overlay.paint_legend(painter, self)
        overlay.paint_state(painter, self)
        if self.hasFocus():
            pen = QPen(QColor(self.colours["lead_out"]), 2)
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
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

    def place_of(self, point: QPointF) -> tuple[float, float]:
        """Return the place in mm under a pixel."""
        return self.camera.to_plate(point.x(), point.y())

    def thing_at(self, point: QPointF) -> Found | None:
        """Return what lies under a pixel."""
        if self.picker is None:
            return None
        return self.picker.at(*self.place_of(point), REACH / self.camera.scale)

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
            self.tool.moved_picture()
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
        if self._dragged is not None:
            self._dragged = None
            if event.button() == Qt.MouseButton.LeftButton:
                self.tool.release(event)
        elif event.button() == Qt.MouseButton.LeftButton:
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
            self.take(Look(self))
        else:
            super().keyPressEvent(event)
            return
        event.accept()


def _names(scene: Scene) -> tuple[str, ...]:
    return tuple(drawing.name for drawing in scene.outcome.drawings)
