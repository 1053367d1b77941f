"""SPLINE: control points 10 with knots 40 and weights 41, or fit points 11 alone; all in world coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from ezdxf.entities.spline import Spline
from ezdxf.math import BSpline, Vec3, fit_points_to_cad_cv

from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.placed import fitted
from kerfproof.geom.curves import BSplineCurve


def read(entity: Spline, frame: BlockTransform) -> DrawnShape:
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


def _placed(
    frame: BlockTransform, control: Any, knots: Sequence[float], weights: Sequence[float], degree: int
) -> DrawnShape:
    points = frame.world(np.array(control, dtype=np.float64).reshape(-1, 3))
    return fitted(BSplineCurve.of(points, np.array(knots), degree, np.array(weights) if len(weights) else None))


def _through(entity: Spline) -> BSpline:
    """Return the spline through the fit points, by the end tangents if both are given, smooth where it is closed."""
    every = [Vec3(p) for p in entity.fit_points]
    points = [p for k, p in enumerate(every) if not k or not p.isclose(every[k - 1])]
    if len(points) < 2:
        raise ValueError("it has no length")
    ends = None
    if entity.dxf.hasattr("start_tangent") and entity.dxf.hasattr("end_tangent"):
        ends = [Vec3(entity.dxf.start_tangent), Vec3(entity.dxf.end_tangent)]
    if entity.closed:
        ring = points[:-1] if points[0].isclose(points[-1]) else points
        points = [*ring, ring[0]]
        if ends is None and len(ring) > 2:
            ends = [_passing(ring)] * 2
    return fit_points_to_cad_cv(points, tangents=ends)


def _passing(ring: list[Vec3]) -> Vec3:
    """Return the direction at the first of some points in which a curve that goes round and round passes it."""
    round_thrice = fit_points_to_cad_cv([*ring, *ring, *ring, ring[0]])
    return round_thrice.derivative(round_thrice.max_t / 3, 1)[1].normalize()


ENTITY = EntityReader("SPLINE", read)
