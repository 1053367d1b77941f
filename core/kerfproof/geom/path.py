"""Paths of lines and arcs, alone (`Path`) and by the sheet (`Bundle`, `Segments`).

Lengths in mm, y up, counter-clockwise positive, left of travel positive. Bulge = tan(sweep / 4), as in the
public DXF reference: 0 is a line, positive turns left (counter-clockwise), 1 a half circle.

Over 300 lines because the three are views of the same rows of numbers and make one another.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kerfproof.box import Box
from kerfproof.geom.counted import counted

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SAME_POINT = 1e-9
"""Two points nearer than this (mm) are one."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """A chain of lines and arcs without gaps.

    `vertices` is float64 (n, 3): x, y and the bulge of the segment from this vertex to the next. A closed
    path has n segments (the last returns to the first vertex), an open one n - 1 and a last bulge of 0.
    No bulge is beyond 1 (arcs over a half circle are split), no segment has equal ends. A full circle is two
    half circles. The array is private and can't be written to. Paths are compared by identity.
    """

    vertices: Floats
    closed: bool

    def __init__(self, vertices: ArrayLike, closed: bool) -> None:
        array = np.array(vertices, dtype=np.float64)  # always a copy
        if array.ndim != 2 or array.shape[1] != 3 or len(array) < 2:
            raise ValueError(f"vertices must be (n >= 2, 3), not {array.shape}")
        # A sum is finite if all numbers are, but for ones near the end of the range.
        if not math.isfinite(array.sum()) and not np.isfinite(array).all():
            raise ValueError("vertices must be finite")
        bulges = array[:, 2]
        if not closed:
            bulges[-1] = 0.0
        low, high = bulges.min(), bulges.max()
        if low < -1.0 or high > 1.0:
            if max(-low, high) > 1.0 + 1e-8:
                raise ValueError("bulges must lie between -1 and 1: split arcs over a half circle")
            np.clip(bulges, -1.0, 1.0, out=bulges)
        if _least_step(array, closed) <= SAME_POINT:
            raise ValueError("a segment has equal ends")
        array.flags.writeable = False
        object.__setattr__(self, "vertices", array)
        object.__setattr__(self, "closed", bool(closed))

    def __reduce__(self) -> tuple[Any, ...]:
        return Path, (np.array(self.vertices), self.closed)

    @staticmethod
    def trusted(vertices: Floats, closed: bool) -> Path:
        """Return the path over a float64 array that its maker has checked and gives away.

        The quick way for sheets of many small entities: nothing is checked and nothing copied.
        """
        path = object.__new__(Path)
        vertices.flags.writeable = False
        object.__setattr__(path, "vertices", vertices)
        object.__setattr__(path, "closed", closed)
        return path

    # --- made from other things -----------------------------------------------------------------------

    @staticmethod
    def polyline(points: ArrayLike, *, closed: bool = False) -> Path:
        """Return the path of straight lines through `points` (n, 2)."""
        array = np.asarray(points, dtype=np.float64)
        return Path(np.column_stack([array, np.zeros(len(array))]), closed)

    @staticmethod
    def rectangle(x0: float, y0: float, x1: float, y1: float) -> Path:
        """Return the counter-clockwise rectangle between two opposite corners."""
        return Path.polyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)

    @staticmethod
    def circle(center: Sequence[float], radius: float) -> Path:
        """Return the counter-clockwise circle as two half circles, from its rightmost point."""
        x, y = center
        return Path([(x + radius, y, 1.0), (x - radius, y, 1.0)], True)

    @staticmethod
    def arc(center: Sequence[float], radius: float, start_rad: float, sweep_rad: float) -> Path:
        """Return an open arc, split evenly so that no piece is over a half circle; positive sweep turns left."""
        pieces = max(1, int(np.ceil(abs(sweep_rad) / np.pi - 1e-9)))
        angles = start_rad + np.linspace(0.0, sweep_rad, pieces + 1)
        points = np.column_stack([np.cos(angles), np.sin(angles)]) * radius + np.asarray(center, dtype=np.float64)
        return Path(np.column_stack([points, np.full(pieces + 1, np.tan(sweep_rad / pieces / 4))]), False)

    # --- what it is ---------------------------------------------------------------------------------------

    @property
    def n_segments(self) -> int:
        """The number of lines and arcs."""
        return len(self.vertices) - (0 if self.closed else 1)

    @property
    def start(self) -> Floats:
        """The first point (2,)."""
        return self.vertices[0, :2]

    @property
    def end(self) -> Floats:
        """The last point (2,); of a closed path the first again."""
        return self.vertices[0 if self.closed else -1, :2]

    def segments(self) -> Segments:
        """Return all segments as arrays."""
        v = self.vertices
        if not self.closed:
            return Segments.between(v[:-1, :2], v[1:, :2], v[:-1, 2], np.zeros(len(v) - 1, dtype=np.int64))
        ends = np.empty((len(v), 2))
        ends[:-1], ends[-1] = v[1:, :2], v[0, :2]
        return Segments.between(v[:, :2], ends, v[:, 2], np.zeros(len(v), dtype=np.int64))

    def length(self) -> float:
        """Return the length along the path."""
        return float(self.segments().lengths().sum())

    def area(self) -> float:
        """Return the signed area, positive when counter-clockwise; an open path is closed by its chord."""
        segments = self.segments()
        p, q = segments.p0, segments.p1
        total = 0.5 * float((p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]).sum())
        if not self.closed:
            total += 0.5 * float(self.end[0] * self.start[1] - self.start[0] * self.end[1])
        arcs = segments.bulge != 0
        sweep = segments.sweep[arcs]
        return total + float((0.5 * segments.radius[arcs] ** 2 * (sweep - np.sin(sweep))).sum())

    def bounds(self) -> Box:
        """Return xmin, ymin, xmax, ymax with the bows of the arcs."""
        boxes = self.segments().boxes()
        return (
            float(boxes[:, 0].min()),
            float(boxes[:, 1].min()),
            float(boxes[:, 2].max()),
            float(boxes[:, 3].max()),
        )

    # --- made from this one ---------------------------------------------------------------------------

    def reversed(self) -> Path:
        """Return the same curve travelled the other way; a closed one keeps its first vertex."""
        v = self.vertices
        if self.closed:
            points = np.roll(v[::-1, :2], 1, axis=0)
            bulges = -v[::-1, 2]
        else:
            points = v[::-1, :2]
            bulges = np.append(-v[-2::-1, 2], 0.0)
        return Path.trusted(np.column_stack([points, bulges]), self.closed)

    def transformed(self, matrix: ArrayLike, shift: ArrayLike = (0.0, 0.0)) -> Path:
        """Return matrix @ point + shift; `matrix` (2, 2) must keep circles round (mirror flips the bulges).

        Raises
        ------
        ValueError
            If the matrix scales unevenly and the path has arcs.
        """
        m = np.asarray(matrix, dtype=np.float64)
        gram = m.T @ m
        even = abs(gram[0, 0] - gram[1, 1]) < 1e-9 * gram.max() and abs(gram[0, 1]) < 1e-9 * gram.max()
        if not even and (self.vertices[:, 2] != 0).any():
            raise ValueError("uneven scale would bend arcs into ellipses")
        sign = 1.0 if np.linalg.det(m) > 0 else -1.0
        points = self.vertices[:, :2] @ m.T + np.asarray(shift, dtype=np.float64)
        return Path(np.column_stack([points, self.vertices[:, 2] * sign]), self.closed)

    def moved(self, dx: float, dy: float) -> Path:
        """Return the path shifted by (dx, dy)."""
        return Path.trusted(self.vertices + np.array([dx, dy, 0.0]), self.closed)

    def part(self, start: float, stop: float) -> Path:
        """Return the open piece between two lengths along the path; beyond a closed path's end it goes on around.

        `start` < `stop`; of an open path both lie between 0 and its length.
        """
        s = self.segments()
        ends = np.cumsum(s.lengths())
        total = float(ends[-1])
        rounds = 2 if self.closed else 1
        begins = np.concatenate([ends - s.lengths() + k * total for k in range(rounds)])
        lengths = np.tile(s.lengths(), rounds)
        if self.closed:
            start, stop = start % total, start % total + (stop - start)
        low = np.clip((start - begins) / lengths, 0.0, 1.0)
        high = np.clip((stop - begins) / lengths, 0.0, 1.0)
        used = np.flatnonzero((high - low) * lengths > 1e-7)
        if not len(used):
            raise ValueError("the piece has no length")
        index = used % len(ends)
        points = s.points(index, low[used])
        last = s.points(index[-1:], high[used][-1:])
        bulges = np.append(np.tan(s.sweep[index] * (high - low)[used] / 4), 0.0)
        return Path(np.column_stack([np.vstack([points, last]), bulges]), False)

    def opened(self) -> Path:
        """Return a closed path as an open one that ends where it began."""
        if not self.closed:
            return self
        v = np.empty((len(self.vertices) + 1, 3))
        v[:-1], v[-1, :2], v[-1, 2] = self.vertices, self.vertices[0, :2], 0.0
        return Path.trusted(v, False)

    def joined(self, other: Path) -> Path:
        """Return this open path followed by `other`, which must begin where this one ends (within 1e-6 mm)."""
        if self.closed or other.closed or np.abs(self.end - other.start).max() > 1e-6:
            raise ValueError("paths do not meet")
        return Path(np.vstack([self.vertices[:-1], other.vertices]), False)

    def flattened(self, sagitta: float) -> Floats:
        """Return points (m, 2) whose chords stay within `sagitta` of the curve; a closed path is not repeated."""
        return (
            self.segments().flattened(sagitta)
            if self.closed
            else np.vstack([self.segments().flattened(sagitta), self.end])
        )


def _least_step(array: Floats, closed: bool) -> float:
    """Return the least distance between the ends of a segment, along x or y."""
    steps = np.abs(array[1:, :2] - array[:-1, :2])
    least = float(np.maximum(steps[:, 0], steps[:, 1]).min())
    if closed:
        x0, y0, _ = array[0].tolist()
        x1, y1, _ = array[-1].tolist()
        least = min(least, max(abs(x1 - x0), abs(y1 - y0)))
    return least


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """Many paths in one array, for work on the whole sheet at once.

    `vertices` (N, 3) of all paths one after the other, `start_of` (n + 1,) where each begins, `closed` (n,).
    """

    vertices: Floats
    start_of: Ints
    closed: Bools

    @staticmethod
    def of(paths: Iterable[Path]) -> Bundle:
        """Return the paths as one bundle."""
        items = list(paths)
        sizes = [len(path.vertices) for path in items]
        return Bundle(
            np.vstack([path.vertices for path in items]) if items else np.empty((0, 3)),
            np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64),
            np.array([path.closed for path in items], dtype=np.bool_),
        )

    def __len__(self) -> int:
        return len(self.closed)

    def __iter__(self) -> Iterator[Path]:
        return (self.path(i) for i in range(len(self)))

    def path(self, i: int) -> Path:
        """Return path number `i`."""
        return Path.trusted(self.vertices[self.start_of[i] : self.start_of[i + 1]].copy(), bool(self.closed[i]))

    def segments(self) -> Segments:
        """Return the segments of all paths, each with the number of its path as `owner`."""
        return Segments.of(self.vertices, self.start_of, self.closed)


@dataclass(frozen=True, slots=True, eq=False)
class Segments:
    """Lines and arcs as parallel arrays of length m.

    `p0`, `p1` (m, 2) ends; `bulge` (m,); `center` (m, 2), `radius` (m,), `start_angle` and `sweep` (m,) in
    radians, sweep positive to the left; of lines center is 0, radius infinite, sweep 0. `owner` (m,) is the
    number of the path, `index` (m,) the number of the segment within it.
    """

    p0: Floats
    p1: Floats
    bulge: Floats
    center: Floats
    radius: Floats
    start_angle: Floats
    sweep: Floats
    owner: Ints
    index: Ints

    @staticmethod
    def of(vertices: Floats, start_of: Ints, closed: Bools) -> Segments:
        """Return the segments of concatenated paths (see `Bundle`)."""
        n = len(vertices)
        owner = np.repeat(np.arange(len(closed)), np.diff(start_of))
        following = np.arange(1, n + 1)
        last = start_of[1:] - 1
        following[last] = start_of[:-1]
        keep = np.ones(n, dtype=np.bool_)
        keep[last[~closed]] = False  # an open path's last vertex begins no segment
        index = np.arange(n) - start_of[owner]
        points = np.ascontiguousarray(vertices[:, :2])
        p0, p1 = points.compress(keep, axis=0), points.take(following[keep], axis=0)
        return Segments.between(p0, p1, vertices[keep, 2], owner[keep], index[keep])

    @staticmethod
    def between(
        p0: Floats, p1: Floats, bulge: Floats, owner: Ints | None = None, index: Ints | None = None
    ) -> Segments:
        """Return segments from ends and bulges."""
        m = len(bulge)
        arc = np.flatnonzero(bulge)
        center, radius = np.zeros((m, 2)), np.full(m, np.inf)
        start_angle, sweep = np.zeros(m), np.zeros(m)
        if len(arc):
            every = len(arc) == m
            a, e, b = (p0, p1, bulge) if every else (p0.take(arc, axis=0), p1.take(arc, axis=0), bulge[arc])
            dx, dy = e[:, 0] - a[:, 0], e[:, 1] - a[:, 1]
            k = (1 - b * b) / (4 * b)
            x, y = (a[:, 0] + e[:, 0]) / 2 - k * dy, (a[:, 1] + e[:, 1]) / 2 + k * dx
            center[arc, 0], center[arc, 1] = x, y
            radius[arc] = np.hypot(dx, dy) * (1 + b * b) / (4 * np.abs(b))
            start_angle[arc] = np.arctan2(a[:, 1] - y, a[:, 0] - x)
            sweep[arc] = 4 * np.arctan(b)
        return Segments(
            p0,
            p1,
            bulge,
            center,
            radius,
            start_angle,
            sweep,
            np.zeros(m, dtype=np.int64) if owner is None else owner,
            np.arange(m) if index is None else index,
        )

    def __len__(self) -> int:
        return len(self.bulge)

    @property
    def is_arc(self) -> Bools:
        """Which segments are arcs (m,)."""
        return np.not_equal(self.bulge, 0.0)

    def take(self, which: NDArray[Any]) -> Segments:
        """Return the segments picked by an index or a mask."""
        rows = np.flatnonzero(which) if which.dtype == np.bool_ else which
        return Segments(*(getattr(self, name).take(rows, axis=0) for name in Segments.__slots__))

    def lengths(self) -> Floats:
        """Return the length of each segment (m,)."""
        chord = self.p1 - self.p0
        out: Floats = np.sqrt(chord[:, 0] ** 2 + chord[:, 1] ** 2)  # a tenth of the time of hypot
        arcs = np.flatnonzero(self.bulge)
        out[arcs] = self.radius.take(arcs) * np.abs(self.sweep.take(arcs))
        return out

    def points(self, which: Ints, share: Floats) -> Floats:
        """Return the points (k, 2) at `share` (0 to 1) of segment `which`, both (k,)."""
        p0, p1 = self.p0.take(which, axis=0), self.p1.take(which, axis=0)
        out: Floats = p0 + (p1 - p0) * share[:, None]
        arcs = np.flatnonzero(self.bulge[which])
        if len(arcs):
            on = which[arcs]
            angle = self.start_angle[on] + self.sweep[on] * share[arcs]
            radius = self.radius[on]
            center = self.center.take(on, axis=0)
            out[arcs, 0] = center[:, 0] + radius * np.cos(angle)
            out[arcs, 1] = center[:, 1] + radius * np.sin(angle)
        # Ends are given back to the last bit, so that neighbours stay joined.
        for at_end, ends in ((share == 0.0, p0), (share == 1.0, p1)):
            if at_end.any():
                np.copyto(out, ends, where=at_end[:, None])
        return out

    def tangents(self, which: Ints, share: Floats) -> Floats:
        """Return unit directions of travel (k, 2) at `share` of segment `which`."""
        chord = self.p1.take(which, axis=0) - self.p0.take(which, axis=0)
        chord = chord / np.hypot(chord[:, 0], chord[:, 1])[:, None]
        # At the start an arc's tangent is its chord turned back by half the sweep.
        turn = self.sweep[which] * (share - 0.5)
        c, s = np.cos(turn), np.sin(turn)
        return np.column_stack([chord[:, 0] * c - chord[:, 1] * s, chord[:, 0] * s + chord[:, 1] * c])

    def boxes(self) -> Floats:
        """Return xmin, ymin, xmax, ymax of each segment (m, 4), exact for arcs."""
        out = np.empty((len(self), 4))
        np.minimum(self.p0, self.p1, out=out[:, :2])
        np.maximum(self.p0, self.p1, out=out[:, 2:])
        arcs = np.flatnonzero(self.bulge)
        if not len(arcs):
            return out
        start, sweep, radius = self.start_angle[arcs], self.sweep[arcs], self.radius[arcs]
        center = self.center.take(arcs, axis=0)
        way, most = np.sign(sweep), np.abs(sweep)
        for k, column in enumerate((2, 3, 0, 1)):  # the four compass points of each circle, where the arc passes them
            hit = (k * np.pi / 2 - start) * way % (2 * np.pi) < most
            which = arcs[hit]
            reach = center[hit, k % 2] + (radius[hit] if k < 2 else -radius[hit])
            out[which, column] = (np.maximum if k < 2 else np.minimum)(out[which, column], reach)
        return out

    def flattened(self, sagitta: float) -> Floats:
        """Return start points of chords (m', 2) that stay within `sagitta` of the segments, ends left out."""
        counts = self.chords(sagitta)
        which, step = counted(counts)
        return self.points(which, step / counts[which])

    def chords(self, sagitta: float) -> Ints:
        """Return how many chords each segment needs to stay within `sagitta` (m,)."""
        radius = np.where(self.is_arc, self.radius, 1.0)
        widest = 2 * np.arccos(np.clip(1 - sagitta / np.maximum(radius, sagitta), -1.0, 1.0))
        widest = np.minimum(widest, np.pi / 2)
        return np.where(self.is_arc, np.ceil(np.abs(self.sweep) / widest - 1e-9), 1).astype(np.int64).clip(1)
