"""The names of parts on the plate view: in the metal, clear of its edges, or not at all."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from kerfproof.report.picture.spots import name_spot
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.plate.scene.plate_scene import Scene
from kerfproof_app.window.widgets.pens import take_letters

MOST_NAMES = 60
"""With more parts in view their names are left out."""
_STEP = 1.25
"""A place is looked for anew where the scale has changed by so much."""


def paint_names(painter: QPainter, scene: Scene, camera: Camera, colours: Mapping[str, str]) -> None:
    """Paint the name of each part in view where it fits."""
    metrics = take_letters(painter, 12)
    painter.setPen(QColor(colours["ink"]))
    boxes, names = scene.parts.boxes, scene.picture.names
    seen = [int(k) for k in scene.parts.seen(camera.seen()) if k < len(names)]
    if len(seen) > MOST_NAMES:
        return
    for k in seen:
        text, box = names[k].text, boxes[k]
        wide = metrics.horizontalAdvance(text) + 12
        if wide > (box[2] - box[0]) * camera.scale or (box[3] - box[1]) * camera.scale < 22:
            continue
        spot = _spot(scene, k, camera.scale, wide)
        if spot is not None:
            u, v = camera.to_pixels(*spot)
            painter.drawText(QRectF(u - wide / 2, v - 10, wide, 20), Qt.AlignmentFlag.AlignCenter, text)


def _spot(scene: Scene, k: int, scale: float, wide: float) -> tuple[float, float] | None:
    """Return the middle of a name of so many pixels, in mm; places are kept by part and step of the scale."""
    step = int(np.floor(np.log(scale) / np.log(_STEP)))
    if (k, step) not in scene.name_places:
        least = _STEP**step  # so that what fits at the step's beginning fits all through it
        scene.name_places[k, step] = name_spot(scene.picture.names[k].paths, wide / least, 20.0 / least)
    return scene.name_places[k, step]
