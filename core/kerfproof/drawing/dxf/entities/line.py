"""LINE: from 10 to 11, in world coordinates."""

from __future__ import annotations

import math

import numpy as np
from ezdxf.entities.line import Line

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, NotCut, check_given
from kerfproof.drawing.dxf.frame import TILT, BlockTransform, Tilted
from kerfproof.drawing.dxf.placed import SHORTEST
from kerfproof.geom.path import Path


def read(entity: Line, frame: BlockTransform) -> DrawnShape:
    """Return the line."""
    check_given(entity, "start", "end")
    start, end = entity.dxf.start, entity.dxf.end
    x0, y0, z0 = frame.at(start.x, start.y, start.z)
    x1, y1, z1 = frame.at(end.x, end.y, end.z)
    length = math.hypot(x1 - x0, y1 - y0)
    if not math.isfinite(length + z0 + z1):
        raise ValueError("a number of it is not finite")
    if abs(z1 - z0) > TILT * length + 1e-6:
        raise Tilted
    if length <= SHORTEST:
        raise NotCut("it has no length")
    return DrawnShape(Path.trusted(np.array([(x0, y0, 0.0), (x1, y1, 0.0)]), False))


ENTITY = EntityReader("LINE", read)
