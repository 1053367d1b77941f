"""POINT: a place 10, in world coordinates."""

from __future__ import annotations

import numpy as np
from ezdxf.entities.point import Point

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, check_given
from kerfproof.drawing.dxf.frame import BlockTransform


def read(entity: Point, frame: BlockTransform) -> DrawnShape:
    """Return the point."""
    check_given(entity, "location")
    x, y = frame.world([entity.dxf.location.xyz])[0].tolist()
    if not np.isfinite([x, y]).all():
        raise ValueError("a number of it is not finite")
    return DrawnShape(None, (x, y))


ENTITY = EntityReader("POINT", read)
