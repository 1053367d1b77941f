"""Random closed curves of lines and arcs from a seed, and measures of them in plain numpy and shapely."""

from __future__ import annotations

import math

import numpy as np
import shapely

from kerfproof.geom.path import Path, Segments


def points_of(p0: np.ndarray, p1: np.ndarray, bulge: float, count: int) -> np.ndarray:
    """Return `count` points evenly along one line or arc, from the definition of the bulge."""
    share = np.linspace(0.0, 1.0, count)
    if bulge == 0:
        return p0 + share[:, None] * (p1 - p0)
    chord = p1 - p0
    center = (p0 + p1) / 2 + (1 - bulge**2) / (4 * bulge) * np.array([-chord[1], chord[0]])
    radius = math.hypot(*chord) * (1 + bulge**2) / (4 * abs(bulge))
    angle = math.atan2(*(p0 - center)[::-1]) + 4 * math.atan(bulge) * share
    return center + radius * np.column_stack([np.cos(angle), np.sin(angle)])


def sampled(path: Path, sagitta: float = 1e-3) -> np.ndarray:
    """Return points along a closed path whose chords stay within `sagitta`."""
    v = path.vertices
    out = []
    for a, b in zip(v, np.roll(v, -1, axis=0), strict=True):
        chord, bow = math.hypot(b[0] - a[0], b[1] - a[1]), abs(a[2])
        radius = chord * (1 + bow**2) / (4 * bow) if bow else math.inf
        step = 2 * math.acos(max(0.0, 1 - sagitta / radius)) if bow else math.inf
        count = max(1, math.ceil(4 * math.atan(bow) / step)) if bow else 1
        out.append(points_of(a[:2], b[:2], a[2], count + 1)[:-1])
    return np.vstack(out)


def polygon(path: Path, sagitta: float = 1e-3) -> shapely.Polygon:
    return shapely.Polygon(sampled(path, sagitta))


def curve(seed: int, *, size: float = 30.0) -> Path | None:
    """Return a closed curve of 3 to 13 lines and arcs, either way round, or None when it would cross itself."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(3, 14))
    angle = np.sort(rng.uniform(0, 2 * np.pi, n))
    radius = rng.uniform(4, size) * rng.uniform(0.25, 1.0, n)
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    if rng.random() < 0.3:
        points = np.round(points / 2) * 2  # square corners, cusps, tangents
    bulge = np.where(rng.random(n) < 0.45, 0.0, rng.uniform(-0.7, 0.9, n))
    bulge[rng.random(n) < 0.08] = 1.0
    if rng.random() < 0.5:
        points = points[::-1]
    if np.hypot(*(np.roll(points, -1, axis=0) - points).T).min() < 0.01:
        return None
    path = Path(np.column_stack([points + rng.uniform(-100, 100, 2), bulge]), True)
    return path if polygon(path).is_valid and polygon(path, 1e-5).is_valid else None


def curves(first: int, count: int) -> list[Path]:
    """Return the next `count` curves from a seed on."""
    found: list[Path] = []
    seed = first
    while len(found) < count:
        path = curve(seed)
        seed += 1
        if path is not None:
            found.append(path)
    return found


def loose_segments(seed: int, count: int) -> Segments:
    """Return unconnected lines and arcs that lie across each other."""
    rng = np.random.default_rng(seed)
    p0 = rng.uniform(0, 10, (count, 2))
    p1 = p0 + rng.normal(0, 3, (count, 2))
    bulge = np.where(rng.random(count) < 0.5, 0.0, rng.uniform(-1, 1, count))
    bulge[rng.random(count) < 0.1] = 1.0
    return Segments.between(p0, p1, bulge)
