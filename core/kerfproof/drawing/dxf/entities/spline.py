"""SPLINE: control points 10 with knots 40 and weights 41, or fit points 11 alone; all in world coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from ezdxf.entities.spline import Spline
from ezdxf.math import BSpline, Vec3, fit_points_to_cad_cv

from kerfproof.drawing.dxf.entity import Drawn, EntityReader
from kerfproof.drawing.dxf.frame import Frame
from kerfproof.drawing.dxf.placed import fitted
from kerfproof.geom.curves import BSplineCurve


def read(entity: Spline, frame: Frame) -> Drawn:
    """Return the spline as arcs and lines.

    Raises
    ------
    ValueError
        If its numbers make no curve.
    """
    if entity.control_point_count():
        return _placed(frame, entity.control_points, entity.knots, entity.weights, int(entity.dxf.degree))
    if entity.fit_point_count() < 2:
        raise ValueError("it has neither control points nor fit points")
    curve = _through(entity)
    return _placed(frame, [p.xyz for p in curve.control_points], curve.knots(), curve.weights(), curve.degree)


def _placed(frame: Frame, control: Any, knots: Sequence[float], weights: Sequence[float], degree: int) -> Drawn:
    points = frame.world(np.array(control, dtype=np.float64).reshape(-1, 3))
    return fitted(BSplineCurve.of(points, np.array(knots), degree, np.array(weights) if len(weights) else None))


def _through(entity: Spline) -> BSpline:
    """Return the spline through the fit points, by the end tangents if both are given."""
    points = [Vec3(p) for p in entity.fit_points]
    if entity.closed and not points[0].isclose(points[-1]):
        points.append(points[0])
    ends = None
    if entity.dxf.hasattr("start_tangent") and entity.dxf.hasattr("end_tangent"):
        ends = [Vec3(entity.dxf.start_tangent), Vec3(entity.dxf.end_tangent)]
    return fit_points_to_cad_cv(points, tangents=ends)


ENTITY = EntityReader("SPLINE", read)
