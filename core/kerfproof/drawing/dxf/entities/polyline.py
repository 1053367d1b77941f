"""POLYLINE, the older kind: VERTEX by VERTEX; flat ones in object, spatial ones in world coordinates."""

from __future__ import annotations

import numpy as np
from ezdxf.entities.polyline import Polyline

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, NotCut, check_given
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.placed import chain, polyline

FRAME_POINT = 16
"""Flag of a vertex that only controls a spline and does not lie on it."""


def read(entity: Polyline, frame: BlockTransform) -> DrawnShape:
    """Return the chain."""
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        raise NotCut("a mesh is no outline")
    vertices = [v for v in entity.vertices if not v.dxf.flags & FRAME_POINT]
    for vertex in vertices:
        check_given(vertex, "location")
    if entity.is_3d_polyline:
        points = frame.world(np.array([v.dxf.location.xyz for v in vertices], dtype=np.float64).reshape(-1, 3))
        return DrawnShape(chain(np.column_stack([points, np.zeros(len(points))]), entity.is_closed))
    elevation = entity.dxf.elevation.z if entity.dxf.hasattr("elevation") else 0.0
    plane = frame.plane(entity.dxf.extrusion.xyz, elevation)
    own = np.array([(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in vertices], dtype=np.float64)
    return polyline(plane, own.reshape(-1, 3), entity.is_closed)


ENTITY = EntityReader("POLYLINE", read)
