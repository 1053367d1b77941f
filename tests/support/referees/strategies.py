"""Shapes for property tests, all built from a seed so that they shrink and repeat."""

from __future__ import annotations

import numpy as np

from kerfproof.drawing.drawing import Drawing, Entity, Units
from kerfproof.geom.path import Path


def star_loop(seed: int, *, radius: float = 40.0, at: tuple[float, float] = (0.0, 0.0), arcs: bool = True) -> Path:
    """Return a simple loop of lines and shallow arcs round `at`, counter-clockwise."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(3, 12))
    angles = (np.arange(n) + rng.uniform(0.1, 0.9, n)) * 2 * np.pi / n
    radii = rng.uniform(radius / 2, radius, n)
    bulges = np.where((rng.random(n) < 0.5) & arcs, rng.uniform(-0.15, 0.15, n), 0.0)
    points = np.column_stack([radii * np.cos(angles), radii * np.sin(angles)]) + np.array(at)
    return Path(np.column_stack([points, bulges]), True)


def drawing_of(*entities: Entity | Path, name: str = "test.dxf") -> Drawing:
    """Return a drawing in mm of the given entities; bare paths lie on layer 0 with handles 1, 2, ..."""
    made = tuple(
        e if isinstance(e, Entity) else Entity("LWPOLYLINE", e, "0", handle=str(k + 1)) for k, e in enumerate(entities)
    )
    return Drawing(name, made, Units(1.0, "mm", "header"), entity_count=len(made))


def soup(path: Path, rng: np.random.Generator) -> list[Path]:
    """Return each segment of a closed path as a path of its own, shuffled, some of them reversed."""
    s = path.segments()
    pieces = [Path([(*s.p0[k], s.bulge[k]), (*s.p1[k], 0)], False) for k in range(len(s))]
    return [pieces[k].reversed() if rng.random() < 0.5 else pieces[k] for k in rng.permutation(len(pieces))]
