"""The largest circle inside a closed path: what a shop calls the width of a slot, and where its center line runs.

Cells that may hold the middle are split in four until they are small against the circle; from the best of them the
middle is moved to where two or three of the nearest edges are equally far, which is exact for lines and quickly so
for arcs. Alike paths (same edges, turned or shifted) are worked out once.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from kerfproof.geom.closest import closest_points, point_distances
from kerfproof.geom.path import Bundle, Floats, Path, Segments
from kerfproof.geom.region import Region, path_areas

LONG = 1.75
"""A shape with so many times the area of the square of its width is long: a slot twice as long as wide has 1.785."""
COARSE = 0.1
"""Cells are split until they are this share of the circle found."""
MOST_CELLS = 4096
"""More cells than this are not split again: the circle found so far is taken."""
CONTACTS = 6
"""So many of the nearest edges may hold the circle."""
MOST_STEPS = 30
DONE = 1e-8
FEW = 3
"""So many places apart from each other are followed to their best."""
_CORNERS = np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]])
_LENGTHS = 4.0 ** -np.arange(1, 9)
_PAIRS = np.array(list(combinations(range(CONTACTS), 2))).T
_TRIPLES = np.array(list(combinations(range(CONTACTS), 3))).T


def inscribed_radii(paths: Bundle, enough: float = np.inf) -> Floats:
    """Return the radius (mm) of the largest circle inside each closed path (n,), to about a micrometer.

    Where a circle about the middle already has the radius `enough`, no larger one is looked for.
    """
    if not len(paths):
        return np.empty(0)
    out = _about_the_middle(paths)
    small = np.flatnonzero(out < enough)
    if len(small):
        some = Bundle.of([paths.path(k) for k in small.tolist()])
        _, first, which = np.unique(_shapes(some), axis=0, return_index=True, return_inverse=True)
        out[small] = np.array([inscribed_circle(some.path(k))[1] for k in first.tolist()])[which.ravel()]
    return out


def _about_the_middle(paths: Bundle) -> Floats:
    """Return the radius of the circle in each path (n,) about the mean of its corners, 0 where that lies outside."""
    s = paths.segments()
    count = np.bincount(s.owner, minlength=len(paths))
    middle = np.column_stack([np.bincount(s.owner, s.p0[:, k], len(paths)) for k in (0, 1)]) / count[:, None]
    away = point_distances(middle.take(s.owner, axis=0), s, np.arange(len(s)))
    point, path = Region(paths).containers(middle)
    inside = np.zeros(len(paths), dtype=np.bool_)
    inside[point[point == path]] = True
    return np.where(inside, np.minimum.reduceat(away, np.searchsorted(s.owner, np.arange(len(paths)))), 0.0)


def is_long(width: float, area: float) -> bool:
    """Return whether a hole of this width and area (mm, mm2) is a slot: about twice as long as wide, or longer."""
    return abs(area) >= LONG * width * width


def inscribed_circle(path: Path) -> tuple[Floats, float]:
    """Return the middle (2,) and the radius (mm) of the largest circle inside a closed path."""
    s = path.segments()
    best, found = 0.0, path.start
    for middle, radius in _coarse(s, Region(Bundle.of([path]))):
        for _ in range(MOST_STEPS):
            better, further = _step(s, middle, radius)
            if further - radius <= DONE:
                break
            middle, radius = better, further
        if radius > best:
            best, found = radius, middle
    return found, best


def _shapes(paths: Bundle) -> Floats:
    """Return numbers (n, 6) that are the same for alike paths, wherever they lie and however they are turned."""
    s = paths.segments()
    n = len(paths)
    count = np.bincount(s.owner, minlength=n)
    mean = np.column_stack([np.bincount(s.owner, s.p0[:, k], n) for k in (0, 1)]) / count[:, None]
    square = ((s.p0 - mean[s.owner]) ** 2).sum(axis=1)
    sums = [np.bincount(s.owner, values, n) for values in (s.lengths(), square, square**2, np.abs(s.bulge))]
    scale = np.maximum(sums[0], 1.0)
    rows = [count, np.abs(path_areas(paths)), sums[0], sums[1], sums[2] / scale**2, sums[3]]
    return np.round(np.column_stack(rows), 5)


def _distances(points: Floats, s: Segments) -> Floats:
    """Return the distance of each point from each segment (k, m)."""
    k, m = len(points), len(s)
    j = np.tile(np.arange(m), k)
    return point_distances(np.repeat(points, m, axis=0), s, j).reshape(k, m)


def _coarse(s: Segments, region: Region) -> list[tuple[Floats, float]]:
    """Return a few middles, apart from each other, with their radii: one of them is near the best."""
    x0, y0, x1, y1 = region.boxes[0].tolist()
    half = min(x1 - x0, y1 - y0) / 2
    columns, rows = (max(1, int(np.ceil(size / half / 2 - 1e-9))) for size in (x1 - x0, y1 - y0))
    x, y = np.meshgrid(x0 + half * (2 * np.arange(columns) + 1), y0 + half * (2 * np.arange(rows) + 1))
    cells = np.column_stack([x.ravel(), y.ravel()])
    while True:
        away = _distances(cells, s).min(axis=1)
        away = np.where(region.inside(cells), away, -away)
        best = float(away.max())
        if (half <= COARSE * best and best > 0) or half < 1e-4 or len(cells) > MOST_CELLS:
            return _apart(cells, away)
        cells = cells[away + half * np.sqrt(2.0) > best]
        half /= 2
        cells = (cells[:, None] + half * _CORNERS).reshape(-1, 2)


def _apart(points: Floats, away: Floats) -> list[tuple[Floats, float]]:
    """Return the best of some points and the next best that lie half a circle away from those before."""
    out: list[tuple[Floats, float]] = []
    for k in np.argsort(-away, kind="stable").tolist():
        if away[k] <= 0 or len(out) == FEW:
            break
        if all(np.hypot(*(points[k] - other)) > radius / 2 for other, radius in out):
            out.append((points[k], float(away[k])))
    return out


def _step(s: Segments, middle: Floats, radius: float) -> tuple[Floats, float]:
    """Return a better middle with its radius: the best of those equally far from two or three of the nearest edges."""
    away = _distances(middle[None], s)[0]
    near = np.argsort(away, kind="stable")[: 2 * CONTACTS]
    feet = closest_points(np.repeat(middle[None], len(near), axis=0), s, near)
    _, once = np.unique(np.round(feet, 6), axis=0, return_index=True)  # two edges may meet in one corner
    once = np.sort(once)[:CONTACTS]
    feet, d = feet[once], np.maximum(away[near[once]], 1e-12)
    towards = (middle - feet) / d[:, None]
    arcs = near[once][s.is_arc[near[once]]]
    moves = np.vstack([_between_two(towards, d), _between_three(towards, d), s.center[arcs] - middle])
    moves = np.vstack([moves, moves / 2, moves / 8, _onward(towards, radius)])
    moves = moves[np.hypot(moves[:, 0], moves[:, 1]) < radius]  # then the middle stays inside
    if not len(moves):
        return middle, radius
    points = middle + moves
    reached = _distances(points, s).min(axis=1)
    k = int(np.argmax(reached))
    return (points[k], float(reached[k])) if reached[k] > radius else (middle, radius)


def _between_two(towards: Floats, d: Floats) -> Floats:
    """Return the moves (k, 2) to where two edges are equally far, straight across."""
    a, b = _PAIRS[:, (_PAIRS < len(d)).all(axis=0)]
    apart = towards[a] - towards[b]
    square = (apart**2).sum(axis=1)
    ok = square > 1e-9
    return np.asarray(((d[b] - d[a])[ok] / square[ok])[:, None] * apart[ok])


def _onward(towards: Floats, radius: float) -> Floats:
    """Return moves (k, 2) of several lengths away from two edges at once, as along the middle of a wedge."""
    a, b = _PAIRS[:, (_PAIRS < len(towards)).all(axis=0)]
    both = towards[a] + towards[b]
    return np.asarray(radius * _LENGTHS[:, None, None] * both[None]).reshape(-1, 2)


def _between_three(towards: Floats, d: Floats) -> Floats:
    """Return the moves (k, 2) to where three edges are equally far, if their distances went on as they change here."""
    triples = _TRIPLES[:, (_TRIPLES < len(d)).all(axis=0)].T
    system = np.concatenate([towards[triples], np.full((*triples.shape, 1), -1.0)], axis=2)
    ok = np.abs(np.linalg.det(system)) > 1e-6
    return np.asarray(np.linalg.solve(system[ok], -d[triples[ok]][..., None])[:, :2, 0])
