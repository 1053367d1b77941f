"""LWPOLYLINE: vertices 10 with bulges 42 in object coordinates; 70 bit 1 closes it."""

from __future__ import annotations

from ezdxf.entities.lwpolyline import LWPolyline

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.placed import polyline


def read(entity: LWPolyline, frame: BlockTransform) -> DrawnShape:
    """Return the chain; widths are not looked at."""
    plane = frame.plane(entity.dxf.extrusion.xyz, entity.dxf.elevation)
    own = entity.lwpoints.values[:, [0, 1, 4]]  # x, y and bulge, without the widths
    return polyline(plane, own, entity.closed)


ENTITY = EntityReader("LWPOLYLINE", read)
