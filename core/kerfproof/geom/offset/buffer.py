"""The last resort: the library's buffer for the topology, each of its edges mapped back to what it came from."""

from __future__ import annotations

import numpy as np
import shapely

from kerfproof.geom.carrier import Carriers, carrier_meetings, cross, dot, norm
from kerfproof.geom.closest import closest_points
from kerfproof.geom.distance import nearest
from kerfproof.geom.offset.raw import ROUND, SHARED, Raw, raw_offset
from kerfproof.geom.path import Bundle, Floats, Ints, Path

FLATTENING = 2e-3
"""Chords stay within this (mm). Much finer outlines make the library lose arcs, coarser ones hide crossings."""
CRUMB = 2e-2
"""Runs of edges shorter than this (mm) may be an accident of the flattening."""


def buffered_offset(paths: Bundle, distance: Floats) -> list[list[Floats] | None]:
    """Return for each closed path the vertices of its offset loops, None where they can't be told."""
    return [_of_path(paths.path(i), float(distance[i])) for i in range(len(paths))]


def nothing_left(path: Path, distance: float) -> bool:
    """Return whether the buffer, too, leaves nothing at `distance`."""
    grown = _buffer(path, distance)
    return grown is not None and bool(shapely.is_empty(grown))


def _buffer(path: Path, distance: float) -> shapely.Geometry | None:
    polygon = shapely.Polygon(path.flattened(FLATTENING))
    if not polygon.is_valid or polygon.area <= 0:
        return None
    step = 2 * np.arccos(1 - min(1.0, FLATTENING / abs(distance)))
    quarters = int(np.ceil(np.pi / 2 / step)) + 1
    outward = (distance > 0) != (path.area() > 0)
    return polygon.buffer(abs(distance) if outward else -abs(distance), quad_segs=quarters)


def _of_path(path: Path, distance: float) -> list[Floats] | None:
    grown = _buffer(path, distance)
    if grown is None:
        return None
    if shapely.is_empty(grown):
        return []
    raw = raw_offset(Bundle.of([path]), np.array([distance]), False)
    left = path.area() > 0
    loops: list[Floats] = []
    for polygon in shapely.get_parts(grown):
        for number, ring in enumerate([polygon.exterior, *polygon.interiors]):
            points = shapely.get_coordinates(ring)[:-1]
            if ring.is_ccw != (left == (number == 0)):
                points = points[::-1]
            loop = _mapped(raw, points, distance)
            if loop is None:
                return None
            loops.append(loop)
    return loops


def _mapped(raw: Raw, ring: Floats, distance: float) -> Floats | None:
    """Return the exact vertices of one ring, or None when its edges don't fit the raw pieces."""
    label = _labels(raw, (ring + np.roll(ring, -1, axis=0)) / 2, distance)
    start = np.flatnonzero(label != np.roll(label, 1))
    if len(start) < 2:
        return _one_circle(raw, label[0], ring)
    label, ring = np.roll(label, -start[0]), np.roll(ring, -start[0], axis=0)
    start = np.flatnonzero(np.diff(label, prepend=-1) != 0)
    edge = norm(np.roll(ring, -1, axis=0) - ring)
    length = np.add.reduceat(edge, start)
    run = [(int(label[a]), ring[a], float(size)) for a, size in zip(start, length, strict=True)]
    while len(run) >= 2:
        joints = [_joint(raw, run[k - 1][0], run[k][0], run[k][1]) for k in range(len(run))]
        failed = [k for k, joint in enumerate(joints) if joint is None]
        if not failed:
            return _vertices(raw, [r[0] for r in run], np.array(joints))
        doubtful = sorted({k for f in failed for k in (f - 1, f)}, key=lambda k: run[k][2])
        if run[doubtful[0]][2] > CRUMB:
            return None
        del run[doubtful[0]]
        run = [r for k, r in enumerate(run) if r[0] != run[k - 1][0]] or run[:1]
    return None


def _labels(raw: Raw, middles: Floats, distance: float) -> Ints:
    """Return the raw piece of each point: the number of a segment, or m + number of a rounded corner."""
    m = len(raw.source)
    _, number = nearest(middles, raw.source, 2 * abs(distance) + 1.0)
    foot = closest_points(middles, raw.source, number)
    at_end = norm(foot - raw.source.p1[number]) <= 1e-9
    at_begin = norm(foot - raw.source.p0[number]) <= 1e-9
    before = np.empty(m, dtype=np.int64)
    before[raw.following] = np.arange(m)
    corner = np.where(at_end, number, before[number])
    return np.where((at_end | at_begin) & (raw.kind[corner] == ROUND), m + corner, number)


def _carrier(raw: Raw, label: int) -> Carriers:
    """Return the carrier of a raw piece as one row."""
    m, k = len(raw.source), label % len(raw.source)
    one = np.array([1.0])
    if label >= m:
        radius = np.abs(raw.distance[k : k + 1])
        return Carriers(raw.source.p1[k : k + 1], np.array([[1.0, 0.0]]), radius, one > 0)
    direction = raw.end[k : k + 1] - raw.begin[k : k + 1]
    length = norm(direction)[:, None]
    point = raw.source.center[k : k + 1] if raw.arc[k] else raw.begin[k : k + 1]
    chord = raw.source.p1[k : k + 1] - raw.source.p0[k : k + 1]
    direction = chord / norm(chord)[:, None] if not raw.arc[k] else direction / np.maximum(length, 1e-12)
    return Carriers(point, direction, raw.radius[k : k + 1], raw.arc[k : k + 1])


def _joint(raw: Raw, a: int, b: int, near: Floats) -> Floats | None:
    """Return where raw piece `a` goes over into `b`, close to `near`; None if they don't."""
    m = len(raw.source)
    if b == a + m:
        return _row(raw.end, a)
    if a >= m and b == raw.following[a - m]:
        return _row(raw.begin, b)
    if a < m and b == raw.following[a] and raw.kind[a] == SHARED:
        return _row(raw.corner, a)
    for label in (a, b):
        if label < m and raw.radius[label] <= 0:
            return None
    met, _ = carrier_meetings(_carrier(raw, a), _carrier(raw, b))
    away = np.where(np.isnan(met[0, :, 0]), np.inf, norm(np.nan_to_num(met[0]) - near))
    best = int(np.argmin(away))
    return _row(met[0], best) if away[best] <= CRUMB else None


def _row(points: Floats, k: int) -> Floats:
    row: Floats = points[k]
    return row


def _vertices(raw: Raw, labels: list[int], joints: Floats) -> Floats | None:
    rows: list[tuple[float, float, float]] = []
    m = len(raw.source)
    for k, label in enumerate(labels):
        a, b = joints[k], joints[(k + 1) % len(labels)]
        if norm((b - a)[None])[0] <= 1e-6:
            continue
        if label < m and not raw.arc[label]:
            rows.append((a[0], a[1], 0.0))
            continue
        center = raw.source.p1[label - m] if label >= m else raw.source.center[label]
        way = np.sign(raw.turn[label - m] if label >= m else raw.source.bulge[label])
        u, v = (a - center)[None], (b - center)[None]
        sweep = float(way * ((way * np.arctan2(cross(u, v), dot(u, v))[0]) % (2 * np.pi)))
        if abs(sweep) > np.pi + 1e-9:
            c, s = np.cos(sweep / 2), np.sin(sweep / 2)
            middle = center + np.array([u[0, 0] * c - u[0, 1] * s, u[0, 0] * s + u[0, 1] * c])
            bulge = float(np.tan(sweep / 8))
            rows += [(a[0], a[1], bulge), (middle[0], middle[1], bulge)]
            continue
        rows.append((a[0], a[1], float(np.tan(sweep / 4))))
    return np.array(rows) if len(rows) >= 2 else None


def _one_circle(raw: Raw, label: int, ring: Floats) -> Floats | None:
    """Return the two halves of a ring that comes from one round piece."""
    m = len(raw.source)
    if label < m and not raw.arc[label]:
        return None
    center = raw.source.p1[label - m] if label >= m else raw.source.center[label]
    radius = abs(raw.distance[0]) if label >= m else raw.radius[label]
    area = float(cross(ring, np.roll(ring, -1, axis=0)).sum())
    bulge = 1.0 if area > 0 else -1.0
    return np.array([[center[0] + radius, center[1], bulge], [center[0] - radius, center[1], bulge]])
