from __future__ import annotations

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from kerfproof_app.window.widgets.pens import thin_pen


@pytest.mark.parametrize("ratio", [1, 2, 3])
@pytest.mark.parametrize("zoom", [0.2, 7.0])
def test_a_thin_line_is_as_wide_on_every_display_and_at_every_zoom(ratio: int, zoom: float) -> None:
    image = QImage(60 * ratio, 60 * ratio, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.scale(zoom, zoom)
    painter.setPen(thin_pen(painter, QColor("black"), 3.0))
    painter.drawLine(QPointF(0, 30 / zoom), QPointF(60 / zoom, 30 / zoom))
    painter.end()
    inked = sum(255 - QColor(image.pixel(30 * ratio, row)).red() for row in range(60 * ratio)) / 255
    assert inked == pytest.approx(3.0 * ratio, abs=0.1)
