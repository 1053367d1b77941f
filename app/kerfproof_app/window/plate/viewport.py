"""A picture that is zoomed and moved: what of it is seen, kept as an image until that changes."""

from __future__ import annotations

from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage, QPainter, QResizeEvent
from PySide6.QtWidgets import QWidget

from kerfproof_app.window.plate.camera import Box, Camera


class Viewport(QWidget):
    """What is seen of a picture; `paint_still` and `whole` say which."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.camera = Camera()
        self._still: QImage | None = None
        self._fitted = True

    @property
    def whole(self) -> Box | None:
        """The box of all that there is to be seen, mm."""
        raise NotImplementedError

    def paint_still(self, painter: QPainter) -> None:
        """Paint all that does not move."""
        raise NotImplementedError

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
