"""What lies inside what: even-odd over closed paths, exact for arcs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kerfproof.geom.carrier import bowed
from kerfproof.geom.counted import ranges
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments

_CHUNK = 1 << 19


class Region:
    """Closed paths made ready to be asked what they hold; open paths don't count."""

    __slots__ = ("_index", "_lanes", "_numbers", "boxes")

    def __init__(self, paths: Bundle) -> None:
        s = paths.segments()
        self.boxes = _boxes(s, len(paths))
        """xmin, ymin, xmax, ymax of each path (n, 4)."""
        self._numbers = np.flatnonzero(paths.closed)
        self._lanes = _Lanes.of(s, len(paths)) if len(self._numbers) else None
        self._index = Index(self.boxes.take(self._numbers, axis=0))

    def inside(self, points: Floats) -> Bools:
        """Return which points (k, 2) lie inside an odd number of the paths (k,); see `inside`."""
        count = np.bincount(self.containers(points)[0], minlength=len(points))
        return np.asarray(count % 2 == 1)

    def containers(self, points: Floats) -> tuple[Ints, Ints]:
        """Return (point, path): all pairs where the path holds the point; see `containers`."""
        points = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        if self._lanes is None or not len(points):
            return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
        k, c = self._index.pairs(point_boxes(points))
        c = self._numbers[c]
        odd = self._lanes.odd(points, k, c)
        return k[odd], c[odd]


def inside(paths: Bundle, points: Floats) -> Bools:
    """Return which points (k, 2) lie inside an odd number of the closed paths (k,).

    Open paths don't count. A point on an edge may go either way.
    """
    return Region(paths).inside(points)


def containers(paths: Bundle, points: Floats) -> tuple[Ints, Ints]:
    """Return (point, path): all pairs where the closed path holds the point, sorted.

    A path that crosses itself holds what it surrounds an odd number of times.
    """
    if not len(points):
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    return Region(paths).containers(points)


def path_boxes(paths: Bundle) -> Floats:
    """Return xmin, ymin, xmax, ymax of each path (n, 4)."""
    return _boxes(paths.segments(), len(paths))


def _boxes(s: Segments, n: int) -> Floats:
    boxes, out = s.boxes(), np.empty((n, 4))
    starts = np.searchsorted(s.owner, np.arange(n))
    out[:, :2] = np.minimum.reduceat(boxes[:, :2], starts) if n else out[:, :2]
    out[:, 2:] = np.maximum.reduceat(boxes[:, 2:], starts) if n else out[:, 2:]
    return out


def path_areas(paths: Bundle) -> Floats:
    """Return the signed area of each path (n,), counter-clockwise positive; open ones closed by their chord."""
    return _areas(paths, paths.segments())


def _areas(paths: Bundle, s: Segments) -> Floats:
    starts = np.searchsorted(s.owner, np.arange(len(paths)))
    # Measured from each path's own start: the products stay small far from the origin.
    origin = paths.vertices[:, :2].take(paths.start_of[s.owner], axis=0)
    p, q = s.p0 - origin, s.p1 - origin
    radius = np.where(s.is_arc, s.radius, 0.0)
    each = 0.5 * (p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]) + 0.5 * radius**2 * (s.sweep - np.sin(s.sweep))
    return np.add.reduceat(each, starts) if len(paths) else np.empty(0)


def nesting(paths: Bundle, region: Region | None = None) -> tuple[Ints, Ints]:
    """Return (depth, parent): how many closed paths surround each path, and the innermost of them, -1 for none.

    For paths that don't cross; depth 0 is outside. Of paths that touch, the smaller may lie in the larger. Give
    `region` = ``Region(paths)`` to use it again.
    """
    n = len(paths)
    depth, parent = np.zeros(n, dtype=np.int64), np.full(n, -1, dtype=np.int64)
    if not n:
        return depth, parent
    s = paths.segments()
    area = np.abs(_areas(paths, s))
    samples, owner = _samples(s, n)
    k, c = (Region(paths) if region is None else region).containers(samples)
    key, votes = np.unique(owner[k] * n + c, return_counts=True)
    child, holder = key // n, key % n
    real = (2 * votes > np.bincount(owner, minlength=n)[child]) & (child != holder)
    # A holder is larger than what it holds; of twins the first holds the second.
    real &= (area[holder] > area[child]) | ((area[holder] == area[child]) & (holder < child))
    child, holder = child[real], holder[real]
    depth += np.bincount(child, minlength=n)
    order = np.lexsort((holder, area[holder], child))
    first = order[np.diff(child[order], prepend=-1) != 0]
    parent[child[first]] = holder[first]
    return depth, parent


def _samples(s: Segments, n: int) -> tuple[Floats, Ints]:
    """Return three middles of segments of each path and whose they are: one of them may touch another path."""
    starts = np.searchsorted(s.owner, np.arange(n + 1))
    count = np.diff(starts)
    which = np.concatenate([starts[:-1] + part * count // 3 for part in range(3)])
    share = np.repeat([0.5, 0.41, 0.57], n)
    return s.points(which, share), np.tile(np.arange(n), 3)


@dataclass(frozen=True, slots=True, eq=False)
class _Lanes:
    """All segments cut where they turn in y, sorted into strips of y, path by path.

    A piece runs from y `low` (included) to `high` (not included). Piece data: ends of a line, or centre, radius
    and side of an arc. `entry` lists the pieces of each strip, `first` where each strip's list begins.
    """

    low: Floats
    high: Floats
    x0: Floats
    y0: Floats
    slope: Floats
    radius: Floats
    bottom: Floats
    step: Floats
    strip_of: Ints
    strips: Ints
    entry: Ints
    first: Ints

    @staticmethod
    def of(s: Segments, n: int) -> _Lanes:
        """Return the strips of `n` paths."""
        owner, ya, yb, x0, y0, slope, radius = _monotone(s)
        low, high = np.minimum(ya, yb), np.maximum(ya, yb)
        bottom, top = np.full(n, np.inf), np.full(n, -np.inf)
        np.minimum.at(bottom, owner, low)
        np.maximum.at(top, owner, high)
        tall = np.maximum(top - bottom, 1e-12)
        pieces = np.bincount(owner, minlength=n)
        filled = np.bincount(owner, (high - low) / tall[owner], minlength=n)
        # As many strips as a piece is, on average, lower than its path.
        strips = np.clip(pieces / np.maximum(filled, 1e-9), 1, np.maximum(pieces, 1)).astype(np.int64)
        step = tall / strips
        strip_of = np.concatenate([[0], np.cumsum(strips)])[:-1]
        a = np.clip((low - bottom[owner]) / step[owner], 0, strips[owner] - 1).astype(np.int64)
        b = np.clip((high - bottom[owner]) / step[owner], 0, strips[owner] - 1).astype(np.int64)
        # Rounding may put a bound on the wrong side of a strip's edge: one strip more does no harm.
        a, b = np.maximum(a - 1, 0), np.minimum(b + 1, strips[owner] - 1)
        piece, within = ranges(a, b + 1)
        strip = strip_of[owner[piece]] + within
        order = np.argsort(strip, kind="stable")
        first = np.searchsorted(strip[order], np.arange(int(strips.sum()) + 1))
        return _Lanes(low, high, x0, y0, slope, radius, bottom, step, strip_of, strips, piece[order], first)

    def odd(self, points: Floats, k: Ints, c: Ints) -> Bools:
        """Return for pairs whether a ray to the right from point `k` meets path `c` an odd number of times."""
        y = points[k, 1]
        strip = np.clip((y - self.bottom[c]) / self.step[c], 0, self.strips[c] - 1).astype(np.int64)
        strip += self.strip_of[c]
        begin, count = self.first[strip], self.first[strip + 1] - self.first[strip]
        out = np.zeros(len(k), dtype=np.bool_)
        cuts = np.searchsorted(np.cumsum(count), np.arange(0, int(count.sum()) + _CHUNK, _CHUNK))
        for low, high in pairwise(cuts.tolist()):
            part = slice(low, high)
            out[part] = self._odd(points[k[part]], begin[part], count[part])
        return out

    def _odd(self, points: Floats, begin: Ints, count: Ints) -> Bools:
        row, entry = ranges(begin, begin + count)
        piece = self.entry[entry]
        x, y = points[row, 0], points[row, 1]
        spans = (self.low[piece] <= y) & (y < self.high[piece])
        row, piece, x, y = row[spans], piece[spans], x[spans], y[spans]
        dy = y - self.y0[piece]
        radius = self.radius[piece]
        half = np.sqrt(np.maximum((np.abs(radius) - dy) * (np.abs(radius) + dy), 0.0))
        straight = radius == 0
        at = self.x0[piece] + np.where(straight, self.slope[piece] * dy, np.sign(radius) * half)
        return np.asarray(np.bincount(row[at > x], minlength=len(count)) % 2 == 1)


def _monotone(s: Segments) -> tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats]:
    """Return pieces that only rise or fall: owner, y of both ends, and x0, y0, slope of lines or centre and radius.

    The radius is positive for the right half of a circle, negative for the left half and 0 for lines.
    """
    arc = bowed(s)
    ya, yb = s.p0[:, 1], s.p1[:, 1]
    line = ~arc
    rise = yb[line] - ya[line]
    flat = np.abs(rise) < 1e-200  # a slope over less would overflow
    slope = (s.p1[line, 0] - s.p0[line, 0]) / np.where(flat, 1.0, rise)
    parts = [(s.owner[line], ya[line], yb[line], s.p0[line, 0], ya[line], slope, np.zeros(int(line.sum())))]
    a = s.take(arc)
    # An arc up to a half circle passes at most one top and one bottom: angle in quarter turns from straight down.
    begin = a.start_angle + np.pi / 2
    end = begin + a.sweep
    low, high = np.minimum(begin, end), np.maximum(begin, end)
    turn1 = np.ceil(low / np.pi) * np.pi
    turn2 = turn1 + np.pi
    cut1, cut2 = np.clip(turn1, low, high), np.clip(turn2, low, high)
    y_low = np.where(a.sweep > 0, a.p0[:, 1], a.p1[:, 1])
    y_high = np.where(a.sweep > 0, a.p1[:, 1], a.p0[:, 1])
    y1 = np.where(turn1 < high, _turn_height(a, turn1), y_high)
    y2 = np.where(turn2 < high, _turn_height(a, turn2), y_high)
    for u, v, yu, yv in ((low, cut1, y_low, y1), (cut1, cut2, y1, y2), (cut2, high, y2, y_high)):
        used = v > u
        right = np.sin((u + v)[used] / 2) > 0
        radius = np.where(right, a.radius[used], -a.radius[used])
        zero = np.zeros(int(used.sum()))
        parts.append((a.owner[used], yu[used], yv[used], a.center[used, 0], a.center[used, 1], zero, radius))
    return tuple(np.concatenate(column) for column in zip(*parts, strict=True))  # type: ignore[return-value]


def _turn_height(a: Segments, turn: Floats) -> Floats:
    """Return y of the top or bottom of circles; `turn` is an odd multiple of pi at the top, an even one below."""
    top = np.round(turn / np.pi) % 2 == 1
    return a.center[:, 1] + np.where(top, a.radius, -a.radius)
