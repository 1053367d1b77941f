"""CIRCLE: centre 10 in object coordinates, radius 40."""

from __future__ import annotations

from ezdxf.entities.circle import Circle

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, check_given
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.placed import circle


def read(entity: Circle, frame: BlockTransform) -> DrawnShape:
    """Return the circle."""
    check_given(entity, "center", "radius")
    center = entity.dxf.center
    plane = frame.plane(entity.dxf.extrusion.xyz, center.z)
    return circle(plane, (center.x, center.y), entity.dxf.radius)


ENTITY = EntityReader("CIRCLE", read)
