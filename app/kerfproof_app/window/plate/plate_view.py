"""The picture of the plate as a widget: what it shows, from where, and what lies under a pixel.

The still picture is kept as an image and painted anew only when the view, the scene or the theme changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Signal
from PySide6.QtGui import QImage, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from kerfproof.box import Box
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.widgets.theme import colours
from kerfproof_app.work.session import Session

if TYPE_CHECKING:  # a picture of a plan is made off the window's thread, and so is what it needs loaded
    from kerfproof_app.window.plate.scene.drawing_sketch import Sketch
    from kerfproof_app.window.plate.scene.picking import PickedThing, Picker
    from kerfproof_app.window.plate.scene.plate_scene import Scene

REACH = 9.0
"""Pixels within which the pointer takes hold of something."""
GRAB = 16.0
"""Pixels within which it takes hold of a lead where nothing else lies: gloves are thick."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What of the picture is wanted."""

    kerf: bool = True
    travel: bool = True
    numbers: bool = True
    craters: bool = True
    directions: bool = True
    callouts: bool = True
    deviation: bool = True
    names: bool = True


class PlateView(QWidget):
    """What is seen of the plate; `paint_still` paints it. `pointed` tells a place (mm) and what is said of it."""

    pointed = Signal(float, float, str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.scene: Scene | None = None
        self.sketch: Sketch | None = None
        """What is drawn, shown while there is no scene."""
        self.picker: Picker | None = None
        self.found: PickedThing | None = None
        """What lies under the pointer."""
        self.shown = Shown()
        self.dark = False
        self.camera = Camera()
        self._still: QImage | None = None
        self._fitted = True

    def paint_still(self, painter: QPainter) -> None:
        """Paint all that does not move."""
        raise NotImplementedError

    def put_tool_away(self) -> None:
        """Go back to the tool that selects."""
        raise NotImplementedError

    @property
    def colours(self) -> dict[str, str]:
        """The table of colours by role."""
        return colours(self.dark)

    @property
    def whole(self) -> Box | None:
        """The box of the plate, or of what is drawn while there is no plan."""
        if self.scene is not None:
            return self.scene.plate
        return None if self.sketch is None else self.sketch.sheet

    # --- what lies where ----------------------------------------------------------------------------------

    def place_of(self, point: QPointF) -> tuple[float, float]:
        """Return the place in mm under a pixel."""
        return self.camera.to_plate(point.x(), point.y())

    def thing_at(self, point: QPointF) -> PickedThing | None:
        """Return what lies under a pixel."""
        if self.picker is None:
            return None
        place, scale = self.place_of(point), self.camera.scale
        found = self.picker.at(*place, REACH / scale)
        if found is None or found.kind == "part":
            near = self.picker.at(*place, GRAB / scale)
            return near if near is not None and near.kind in ("lead", "pierce") else found
        return found

    # --- from where it is seen ----------------------------------------------------------------------------

    def fit(self) -> None:
        """Show the whole plate."""
        whole = self.whole
        if whole is not None:
            self._look(self.camera.fitted(whole), fitted=True)

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
