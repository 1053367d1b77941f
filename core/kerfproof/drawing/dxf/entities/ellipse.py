"""ELLIPSE: centre 10 and end of the major axis 11 (from the centre), both in world coordinates.

Point(t) = centre + cos(t) major + sin(t) ratio (extrusion x major), from 41 to 42, counter-clockwise about the
extrusion.
"""

from __future__ import annotations

import math

import numpy as np
from ezdxf.entities.ellipse import Ellipse

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, check_given
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.placed import fitted
from kerfproof.geom.curves import EllipseCurve


def read(entity: Ellipse, frame: BlockTransform) -> DrawnShape:
    """Return the ellipse or its piece as arcs; equal parameters make the full one."""
    check_given(entity, "center", "major_axis", "ratio")
    center, major = np.array(entity.dxf.center.xyz), np.array(entity.dxf.major_axis.xyz)
    normal = np.array(entity.dxf.extrusion.xyz)
    size = float(np.sqrt(normal @ normal))
    start, end, ratio = entity.dxf.start_param, entity.dxf.end_param, entity.dxf.ratio
    if not np.isfinite([*center, *major, size, start, end, ratio]).all() or size < 1e-12:
        raise ValueError("a number of it is not finite")
    minor = np.cross(normal / size, major) * ratio
    placed = frame.world([center - major, center + major, center - minor, center + minor])
    middle = placed.mean(axis=0)
    sweep = (end - start) % math.tau
    if min(sweep, math.tau - sweep) < 1e-9:
        sweep = math.tau
    return fitted(EllipseCurve(middle, placed[1] - middle, placed[3] - middle, start, start + sweep))


ENTITY = EntityReader("ELLIPSE", read)
