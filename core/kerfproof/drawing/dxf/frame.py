"""Where an entity lies: from its own coordinates, through the blocks around it, to mm in the drawing's plane."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from kerfproof.geom.path import Floats

TILT = 1e-3
"""A direction that leaves the plane by more than this (radians) is tilted."""


FARTHEST = 1e12
"""No coordinate of a drawing is larger, in whatever unit."""


class Tilted(Exception):
    """The entity does not lie flat in the drawing's plane."""


@dataclass(frozen=True, eq=False)
class Plane:
    """The plane of a flat entity: point in mm = `linear` (2, 2) @ its own x, y + `shift` (2,)."""

    linear: Floats
    shift: Floats

    @cached_property
    def even(self) -> bool:
        """Whether circles stay round."""
        gram = self.linear.T @ self.linear
        size = float(gram.max())
        return bool(abs(gram[0, 0] - gram[1, 1]) < 1e-9 * size and abs(gram[0, 1]) < 1e-9 * size)

    @cached_property
    def scale(self) -> float:
        """Mm per own unit; of an uneven plane the geometric mean."""
        return float(np.sqrt(abs(np.linalg.det(self.linear))))

    @cached_property
    def mirrored(self) -> bool:
        """Whether left turns become right turns."""
        return bool(np.linalg.det(self.linear) < 0)

    @cached_property
    def _numbers(self) -> tuple[float, ...]:
        return (*self.linear.ravel().tolist(), *self.shift.tolist())

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return one point in mm: the quick way for the many small entities."""
        a, b, c, d, e, f = self._numbers
        return a * x + b * y + e, c * x + d * y + f

    def points(self, own: ArrayLike) -> Floats:
        """Return points (k, 2) in mm."""
        placed: Floats = np.asarray(own, dtype=np.float64) @ self.linear.T + self.shift
        return placed


@dataclass(frozen=True, eq=False)
class BlockTransform:
    """Coordinates of a block as it is inserted: point in mm = `linear` (3, 3) @ own x, y, z + `shift` (3,)."""

    linear: Floats
    shift: Floats

    @staticmethod
    def scaled(mm_per_unit: float) -> BlockTransform:
        """Return the frame of a layout."""
        return BlockTransform(np.eye(3) * mm_per_unit, np.zeros(3))

    @cached_property
    def upright(self) -> Plane:
        """The plane of entities that lie in the frame's own x and y.

        Raises
        ------
        Tilted
            If the frame itself is tilted.
        """
        return self._plane(np.eye(3), 0.0)

    def plane(self, extrusion: tuple[float, float, float], elevation: float) -> Plane:
        """Return the plane of an entity by its extrusion and elevation (arbitrary axis rule of the DXF reference).

        Raises
        ------
        Tilted
            If it does not lie flat.
        """
        if extrusion == (0.0, 0.0, 1.0) and (elevation == 0.0 or self.flat):
            return self.upright
        return self._plane(object_axes(extrusion), elevation)

    @cached_property
    def flat(self) -> bool:
        """Whether height has no influence on x and y."""
        return not self.linear[:2, 2].any()

    def _plane(self, axes: Floats, elevation: float) -> Plane:
        placed = self.linear @ axes
        size = float(np.hypot(*placed[:, :2].T).max())
        if size == 0.0 or np.abs(placed[2, :2]).max() > TILT * size:
            raise Tilted
        return Plane(placed[:2, :2], placed[:2, 2] * elevation + self.shift[:2])

    @cached_property
    def _numbers(self) -> tuple[float, ...]:
        return (*self.linear.ravel().tolist(), *self.shift.tolist())

    def at(self, x: float, y: float, z: float) -> tuple[float, float, float]:
        """Return one point in mm: the quick way for the many small entities."""
        a, b, c, d, e, f, g, h, i, u, v, w = self._numbers
        return a * x + b * y + c * z + u, d * x + e * y + f * z + v, g * x + h * y + i * z + w

    def world(self, own: ArrayLike) -> Floats:
        """Return points (k, 2) in mm of points (k, 3) in the frame.

        Raises
        ------
        Tilted
            If they do not lie at one height.
        ValueError
            If they lie beyond all measure.
        """
        points = np.asarray(own, dtype=np.float64)
        if np.abs(points).max(initial=0.0) > FARTHEST:
            raise ValueError(f"it reaches to {np.abs(points).max():.3g} drawn units")
        placed = points @ self.linear.T + self.shift
        reach = np.ptp(placed, axis=0)
        if reach[2] > TILT * max(reach[0], reach[1]) + 1e-6:
            raise Tilted
        return placed[:, :2]

    def child(self, linear: Floats, shift: Floats) -> BlockTransform:
        """Return the frame of a block whose own placing within this frame is `linear` and `shift`."""
        return BlockTransform(self.linear @ linear, self.linear @ shift + self.shift)


def object_axes(extrusion: tuple[float, float, float]) -> Floats:
    """Return the columns x, y, z of the object coordinate system of an extrusion.

    Raises
    ------
    ValueError
        If the extrusion has no direction.
    """
    normal = np.asarray(extrusion, dtype=np.float64)
    size = float(np.sqrt(normal @ normal))
    if not np.isfinite(size) or size < 1e-12:
        raise ValueError("its extrusion has no direction")
    normal = normal / size
    near_z = abs(normal[0]) < 1 / 64 and abs(normal[1]) < 1 / 64
    x = np.cross([0.0, 1.0, 0.0] if near_z else [0.0, 0.0, 1.0], normal)
    x /= np.sqrt(x @ x)
    return np.column_stack([x, np.cross(normal, x), normal])
