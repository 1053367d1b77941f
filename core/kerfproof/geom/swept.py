"""What a torch sweeps, as polygons: only for what distances can't tell, such as pieces that several cuts free.

Chords lie within 5 um of the arcs: enough to tell what is enclosed, never used to measure an edge.
"""

from __future__ import annotations

import numpy as np
import shapely

from kerfproof.geom.path import Bundle, Floats, Path, Segments

SAGITTA = 0.005
QUADRANT = 16
"""Chords in a quarter turn at the ends of the swept paths."""
LEAST_AREA = 0.5
"""Enclosed specks smaller than this (mm2) are arithmetic."""


def enclosed(s: Segments, half: Floats) -> tuple[Path, ...]:
    """Return what the swept segments enclose: the boundaries (closed polylines) of each region they surround.

    `half` (m,) is half the kerf of each segment. The pieces are given largest first.
    """
    if not len(s):
        return ()
    swept = shapely.union_all(_bands(s, half))
    out = []
    for polygon in shapely.get_parts(swept):
        for ring in shapely.get_parts(shapely.get_rings(polygon))[1:]:
            points = _distinct(shapely.get_coordinates(ring)[:-1])
            if len(points) < 3:
                continue
            area = abs(float(shapely.area(shapely.Polygon(points))))
            if area >= LEAST_AREA:
                out.append((round(-area, 6), tuple(points[0]), points))
    return tuple(Path.polyline(points, closed=True) for _, _, points in sorted(out, key=lambda o: o[:2]))


def _distinct(points: Floats) -> Floats:
    """Return a ring's points without those that lie on the one before: kerfs that end in each other leave such."""
    steps = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1)
    return np.asarray(points[steps > 1e-6])


def swept_area(s: Segments, half: Floats) -> float:
    """Return the area (mm2) that the torch sweeps along the segments, overlaps counted once."""
    return float(shapely.area(shapely.disjoint_subset_union_all(_bands(s, half)))) if len(s) else 0.0


def _bands(s: Segments, half: Floats) -> list[shapely.Geometry]:
    """Return the band that each segment sweeps, round at both ends."""
    bands: list[shapely.Geometry] = []
    for k in range(len(s)):
        sweep, radius = abs(float(s.sweep[k])), float(s.radius[k])
        chords = 1
        if s.is_arc[k] and radius > SAGITTA:
            chords = max(2, int(np.ceil(sweep / (2 * np.arccos(1 - SAGITTA / radius)))))
        points = s.points(np.full(chords + 1, k), np.linspace(0.0, 1.0, chords + 1))
        bands.append(shapely.LineString(points).buffer(float(half[k]), quad_segs=QUADRANT))
    return bands


def hull(points: Floats) -> Floats:
    """Return the corners (k, 2) of the convex hull of points, counter-clockwise; of a line its two ends."""
    found = shapely.convex_hull(shapely.multipoints(points))
    corners = shapely.get_coordinates(found)
    if len(corners) > 3:
        return np.asarray(shapely.get_coordinates(shapely.Polygon(corners[:-1]).normalize()))[:-1][::-1]
    return np.asarray(corners[:2])


def hulls(paths: Bundle, sagitta: float) -> list[Floats]:
    """Return `hull` of the points of each path, flattened to within `sagitta` (mm)."""
    s = paths.segments()
    which = np.repeat(s.owner, s.chords(sagitta))
    rings = shapely.normalize(shapely.convex_hull(shapely.multipoints(s.flattened(sagitta), indices=which)))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    each = np.split(corners, np.flatnonzero(np.diff(ring)) + 1) if len(paths) else []
    return [c[:-1][::-1] if len(c) > 3 else c[:2] for c in each]


def spans_of(path: Path, x: float) -> Floats:
    """Return the stretches (k, 2) of y in which the upright line at `x` lies inside a closed path."""
    x0, y0, x1, y1 = path.bounds()
    if not x0 < x < x1:
        return np.empty((0, 2))
    polygon = shapely.Polygon(path.flattened(0.05))
    line = shapely.linestrings([(x, y0 - 1.0), (x, y1 + 1.0)])
    met = shapely.get_parts(shapely.intersection(shapely.make_valid(polygon), line))
    bounds = shapely.bounds(met)
    kept = np.asarray(bounds[:, 3] - bounds[:, 1] > 1e-6)
    return np.asarray(bounds[kept][:, [1, 3]]).reshape(-1, 2)


def clings(contour: Path, outside: bool, s: Segments, half: Floats, beyond: float) -> bool:
    """Return whether what the swept segments leave uncut on one side of a closed contour still hangs on it.

    Looked at is the inside of the contour, or `outside` what lies within 1.5 times `beyond` of it. Pieces that touch
    the contour and stay within `beyond` of it are crumbs.
    """
    body = shapely.make_valid(shapely.Polygon(contour.flattened(SAGITTA)))
    side = shapely.difference(shapely.buffer(body, 1.5 * beyond, quad_segs=QUADRANT), body) if outside else body
    rim = shapely.boundary(body)
    left = shapely.get_parts(shapely.difference(side, shapely.union_all(_bands(s, half))))
    for piece in left:
        # Chords of contour and kerf lie up to 2 * SAGITTA beside each other.
        if shapely.distance(piece, rim) > 3 * SAGITTA:
            continue
        if float(shapely.distance(shapely.points(shapely.get_coordinates(piece)), rim).max()) > beyond:
            return True
    return False
