"""A drawing as it was drawn, in mm."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import Finding
from kerfproof.geom.path import Bundle, Floats, Path


@dataclass(frozen=True, slots=True, eq=False)
class Entity:
    """One drawn curve or point.

    `path` is None for a point, whose place is `point`. `samples` (k, 2) lie on the drawn curve itself where
    `path` only approximates it (splines, ellipses), and `fit_error` is the worst distance of `path` from it,
    mm; both are empty for lines and arcs. `handle` is the DXF handle, with the handles of the block
    references around it before it (``1F/2A``).
    """

    kind: str
    path: Path | None
    layer: str
    color: int = 7
    linetype: str = "CONTINUOUS"
    handle: str = ""
    point: tuple[float, float] | None = None
    fit_error: float = 0.0
    samples: Floats | None = None
    rgb: str = ""


@dataclass(frozen=True, slots=True)
class Skipped:
    """Something in the file that is not cut, and why."""

    kind: str
    layer: str
    handle: str
    reason: str


@dataclass(frozen=True, slots=True)
class Units:
    """The unit of a drawing. `mm_per_unit` is None while nobody knows it; coordinates are then unscaled."""

    mm_per_unit: float | None
    name: str
    source: str
    """``header``, ``given`` or ``unknown``."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """What a file holds: entities in mm, what was left out, what was noticed.

    `entity_count` counts what the file holds (block references exploded, each outline of a text that was read as
    such): entities + skipped.
    """

    name: str
    entities: tuple[Entity, ...]
    units: Units
    skipped: tuple[Skipped, ...] = ()
    findings: tuple[Finding, ...] = ()
    version: str = ""
    entity_count: int = 0
    layers: tuple[str, ...] = field(default=())

    def bounds(self) -> Box | None:
        """Return xmin, ymin, xmax, ymax of all entities, None when there are none."""
        paths = [e.path for e in self.entities if e.path is not None]
        boxes = [Bundle.of(paths).segments().boxes()] if paths else []
        boxes += [np.array([[*e.point, *e.point]]) for e in self.entities if e.point is not None]
        if not boxes:
            return None
        low, high = np.vstack(boxes)[:, :2].min(axis=0), np.vstack(boxes)[:, 2:].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])
