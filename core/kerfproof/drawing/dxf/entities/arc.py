"""ARC: centre 10 in object coordinates, radius 40, from 50 to 51 degrees, always counter-clockwise there."""

from __future__ import annotations

import math

from ezdxf.entities.arc import Arc

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, check_given
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.placed import arc, circle


def read(entity: Arc, frame: BlockTransform) -> DrawnShape:
    """Return the arc; equal angles make the full circle."""
    check_given(entity, "center", "radius", "start_angle", "end_angle")
    center = entity.dxf.center
    start, end = entity.dxf.start_angle, entity.dxf.end_angle
    if not (math.isfinite(start) and math.isfinite(end)):
        raise ValueError("an angle of it is not finite")
    plane = frame.plane(entity.dxf.extrusion.xyz, center.z)
    sweep = (end - start) % 360.0
    if min(sweep, 360.0 - sweep) < 1e-9:
        return circle(plane, (center.x, center.y), entity.dxf.radius)
    return arc(plane, (center.x, center.y), entity.dxf.radius, math.radians(start), math.radians(sweep))


ENTITY = EntityReader("ARC", read)
