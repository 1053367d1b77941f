"""An own ruler for tests of paths: plain numpy and shapely, nothing of the product but the vertices it gives."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

import numpy as np
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from kerfproof.geom.path import Path


def flat(path: Path, sagitta: float = 0.002) -> np.ndarray:
    """Return points (m, 2) along a path whose chords stay within `sagitta` mm of it."""
    v = path.vertices
    ends = np.vstack([v, v[:1]]) if path.closed else v
    out = [ends[0, :2]]
    for (x0, y0, b), (x1, y1, _) in itertools.pairwise(ends):
        if b == 0:
            out.append(np.array([x1, y1]))
            continue
        chord = math.hypot(x1 - x0, y1 - y0)
        radius, sweep = chord * (1 + b * b) / (4 * abs(b)), 4 * math.atan(b)
        cx = (x0 + x1) / 2 - (y1 - y0) * (1 - b * b) / (4 * b)
        cy = (y0 + y1) / 2 + (x1 - x0) * (1 - b * b) / (4 * b)
        step = 2 * math.acos(max(1 - sagitta / radius, -1))
        count = max(2, math.ceil(abs(sweep) / step))
        angles = math.atan2(y0 - cy, x0 - cx) + sweep * np.arange(1, count + 1) / count
        out += list(np.column_stack([cx + radius * np.cos(angles), cy + radius * np.sin(angles)]))
    return np.array(out)


def line(path: Path) -> LineString:
    return LineString(flat(path))


def kept(outline: Path, holes: Iterable[Path] = ()) -> Polygon:
    """Return the metal of one part."""
    return Polygon(flat(outline), [flat(hole) for hole in holes])


def signed_area(path: Path) -> float:
    x, y = flat(path)[:, 0], flat(path)[:, 1]
    return 0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())


def direction_at_end(path: Path) -> np.ndarray:
    p = flat(path, 1e-6)
    step = p[-1] - p[-2]
    return np.asarray(step / np.hypot(*step))


def direction_at_start(path: Path) -> np.ndarray:
    p = flat(path, 1e-6)
    step = p[1] - p[0]
    return np.asarray(step / np.hypot(*step))


def swept(path: Path, width: float) -> BaseGeometry:
    return line(path).buffer(width / 2, quad_segs=24)
