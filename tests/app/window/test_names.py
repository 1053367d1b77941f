"""Names are painted in the metal or not at all, at any zoom."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from PySide6.QtGui import QColor, QImage, QPainter

from kerfproof.geom.path import Path
from kerfproof.report.picture.colors import LIGHT
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.plate.paint.part_names import paint_names
from kerfproof_app.window.plate.scene.plate_scene import make_scene
from support.shop import shop


@pytest.mark.parametrize("scale", [0.8, 1.3, 2.0, 4.0])
def test_the_names_of_parts_lie_in_their_metal(qapp: object, scale: float) -> None:
    scene = make_scene(shop.cut(shop.demo("sluice-sheet")))
    camera = Camera(165.0, 165.0, scale, 1600.0, 1600.0)
    image = QImage(1600, 1600, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    paint_names(painter, scene, camera, LIGHT)
    painter.end()
    dots = np.frombuffer(image.constBits(), np.uint32).reshape(1600, 1600)
    rows, columns = np.nonzero((dots & 0xFF) < 0x80)
    assert len(rows) > 50 or scale < 1
    metal = sum(
        contains([f.contour.path for f in (part.outline, *part.holes)], camera, columns, rows)
        for part in scene.outcome.parts.parts
    )
    assert (metal == 1).all()


def contains(paths: list[Path], camera: Camera, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    ring, *holes = (shapely.Polygon(path.flattened(0.05)) for path in paths)
    body = ring.difference(shapely.union_all(holes)) if holes else ring
    x, y = camera.to_plate(u, v)
    return shapely.contains_xy(body, x, y).astype(int)
