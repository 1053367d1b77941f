"""The way back from many short pieces: circles, arcs and longer lines where a person would see them.

Over 300 lines because what is tried and what it is measured by share one chain and mean nothing apart.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.circles import best_circle, chord_distances, through_ends
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path

FEWEST_CHORDS = 5
"""Fewer lines in a row are never taken for an arc."""

WIDEST_CHORD = 0.36
"""A chord that turns farther (radians, some 20 degrees) is the side of a polygon, not of an arc."""

HARD_CORNER = 0.5
"""No line or arc reaches past a turn of more than this (radians)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Chain:
    """An open chain to be refitted. `points` (m, 2) lie on it in order: its vertices, and three more on each arc.

    `place` (n + 1,) is the row of each vertex in `points`; `real` (n,) marks lines too long to be dropped,
    `coarse` (n,) those that bow too much to be chords, `wall` (n + 1,) vertices that stay.
    """

    vertices: Floats
    points: Floats
    place: Ints
    real: Bools
    coarse: Bools
    wall: Bools
    tolerance: float
    bow: float
    spots: list[list[float]]
    """x and y of each vertex as plain numbers, for what is asked of one vertex at a time."""
    along: list[float]
    """Length of the chords up to each vertex."""


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Vertices (k, 3) that stand for segments `first` to `last` - 1 of the chain, and their deviation."""

    vertices: Floats
    first: int
    last: int
    error: float


_Fit = Callable[[_Chain, int, int], _Run | None]


def refit(path: Path, tolerance: float, *, bow: float | None = None) -> tuple[Path, float]:
    """Return `path` with its short pieces made circles, arcs and longer lines, and the greatest change (mm).

    Vertices and arcs move by at most `tolerance`. The middles of chords may lie up to `bow` (default 4 x
    `tolerance`) inside the arc that their ends lie on. Five chords or more make an arc when none turns by more
    than 20 degrees, so hexagons and octagons stay. A contour stays closed and keeps its direction, corners stay
    where they are. The very same path is returned when there is nothing to do.
    """
    allowed = 4 * tolerance if bow is None else max(bow, tolerance)
    if path.closed and (round_one := _circle(path, tolerance, allowed)):
        return round_one
    v = path.vertices
    if path.closed:
        v = np.roll(v, -_start(v), axis=0)
        v = np.vstack([v, [*v[0, :2], 0.0]])
    runs = _runs(_chain(v, path.closed, tolerance, allowed))
    if path.closed and len(runs) > 1 and not _hard(v, True)[0]:
        # The seam lay at no corner: begin again where the first run ended.
        first = runs[0].last
        v = np.vstack([v[first:-1], v[: first + 1]])
        v[-1, 2] = 0.0
        runs = _runs(_chain(v, True, tolerance, allowed))
    found = np.vstack([r.vertices[:-1] for r in runs] + [runs[-1].vertices[-1:]])
    if len(found) == len(v) or (len(found) < 3 and path.closed):
        return path, 0.0
    return Path(found[:-1] if path.closed else found, path.closed), max(r.error for r in runs)


def refit_all(paths: Iterable[Path], tolerance: float, *, bow: float | None = None) -> list[tuple[Path, float]]:
    """Return `refit` of each path; those that hold nothing to refit are found all at once."""
    items = list(paths)
    if not items:
        return []
    worth = _worth(Bundle.of(items), tolerance).tolist()
    return [refit(p, tolerance, bow=bow) if w else (p, 0.0) for p, w in zip(items, worth, strict=True)]


def _circle(path: Path, tolerance: float, bow: float) -> tuple[Path, float] | None:
    """Return the full circle that a closed path is, if it is one."""
    v = path.vertices
    lines = v[:, 2] == 0
    if len(v) < 3 or (lines.any() and len(v) < FEWEST_CHORDS):
        return None
    closed = np.vstack([v, [*v[0, :2], 0.0]])
    points, _ = _points(closed)
    circle = best_circle(points[:-1])
    if circle is None or circle[2] > tolerance:
        return None
    out = points - circle[0]
    turns = np.arctan2(out[:-1, 0] * out[1:, 1] - out[:-1, 1] * out[1:, 0], (out[:-1] * out[1:]).sum(axis=1))
    error = _chord_error(closed, lines, circle[0], circle[1], bow, tolerance)
    if abs(abs(turns.sum()) - 2 * np.pi) > 1e-3 or error is None:
        return None
    if (turns * np.sign(turns.sum()) * circle[1]).min() < -2 * tolerance:
        return None
    whole = Path.circle(circle[0].tolist(), circle[1])
    return (whole if turns.sum() > 0 else whole.reversed()), max(error, circle[2])


def _chord_error(v: Floats, lines: Bools, center: Floats, radius: float, bow: float, tolerance: float) -> float | None:
    """Return how far chords lie inside their arc, None when one is too long to be a chord of it."""
    if not lines.any():
        return 0.0
    p, q = v[:-1, :2][lines], v[1:, :2][lines]
    if np.hypot(*(q - p).T).max() > WIDEST_CHORD * radius and np.hypot(*(q - p).T).max() > 2 * tolerance:
        return None
    error = float(np.abs(np.hypot(*((p + q) / 2 - center).T) - radius).max())
    return error if error <= bow else None


def _points(v: Floats) -> tuple[Floats, Ints]:
    """Return the vertices of an open chain with three more points on each arc, and the vertices' rows."""
    arcs = v[:-1, 2] != 0
    place = np.concatenate([[0], np.cumsum(np.where(arcs, 4, 1))]).astype(np.int64)
    if not arcs.any():
        return v[:, :2], place
    points = np.empty((int(place[-1]) + 1, 2))
    points[place] = v[:, :2]
    s = Path(v, False).segments()
    which = np.flatnonzero(arcs)
    for k in (1, 2, 3):
        points[place[which] + k] = s.points(which, np.full(len(which), k / 4))
    return points, place


def _turns(v: Floats, closed: bool) -> Floats:
    """Return the turn (radians) at each vertex of an open chain, at its seam too when that is closed."""
    chord = np.diff(v[:, :2], axis=0)
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    half = 2 * np.arctan(v[:-1, 2])
    leave, arrive = heading - half, heading + half
    turn = np.zeros(len(v))
    turn[1:-1] = leave[1:] - arrive[:-1]
    turn[0] = turn[-1] = leave[0] - arrive[-1] if closed else np.pi
    return np.asarray((turn + np.pi) % (2 * np.pi) - np.pi)


def _hard(v: Floats, closed: bool, tolerance: float = 0.0) -> Bools:
    """Return which vertices of an open chain are corners that stay."""
    reach = np.hypot(*np.diff(v[:, :2], axis=0).T)
    before, after = np.append(reach[-1], reach), np.append(reach, reach[0])
    return np.asarray((np.abs(_turns(v, closed)) > HARD_CORNER) & (np.minimum(before, after) > 20 * tolerance))


def _start(v: Floats) -> int:
    """Return the vertex of a closed path where a corner is clearest: by turn and length of its sides."""
    closed = np.vstack([v, v[:1]])
    reach = np.hypot(*np.diff(closed[:, :2], axis=0).T)
    height = np.abs(_turns(closed, True)[:-1]) * np.minimum(reach, np.roll(reach, 1))
    return int(np.argmax(np.round(height, 6)))


def _chain(v: Floats, closed: bool, tolerance: float, bow: float) -> _Chain:
    points, place = _points(v)
    reach = np.hypot(*np.diff(v[:, :2], axis=0).T)
    real = (v[:-1, 2] == 0) & (reach > 2 * tolerance)
    turn = np.abs(_turns(v, closed))
    # A chord of length c in an arc that turns by t from chord to chord bows by c t / 8.
    coarse = real & (reach * np.minimum(turn[:-1], turn[1:]) / 8 > bow + tolerance)
    wall = _hard(v, closed, tolerance)
    along = np.concatenate([[0.0], np.cumsum(reach)])
    return _Chain(v, points, place, real, coarse, wall, tolerance, bow, v[:, :2].tolist(), along.tolist())


def _runs(c: _Chain) -> list[_Run]:
    """Return the runs that stand for the chain, each as long as it may be."""
    runs = []
    at, end = 0, len(c.vertices) - 1
    walls = [*np.flatnonzero(c.wall).tolist(), end]
    coarse = [*np.flatnonzero(c.coarse).tolist(), end]
    while at < end:
        limit = walls[bisect_right(walls, at)]
        arc_limit = min(limit, coarse[bisect_left(coarse, at)])
        runs.append(_farthest(c, at, limit, arc_limit))
        at = runs[-1].last
    return runs


def _farthest(c: _Chain, first: int, limit: int, arc_limit: int) -> _Run:
    """Return the longest run from vertex `first`: a line not past `limit`, an arc not past `arc_limit`."""
    line = _search(c, first, limit, 2, _line, True)
    chords = bool(c.real[first])
    arc = _search(c, first, arc_limit, FEWEST_CHORDS if chords else 2, _arc, not chords)
    if arc is not None and (line is None or arc.last > line.last):
        return arc
    keep = c.vertices[first : first + 2].copy()
    keep[1, 2] = 0.0
    return line or _Run(keep, first, first + 1, 0.0)


def _search(c: _Chain, first: int, limit: int, least: int, fit: _Fit, strict: bool) -> _Run | None:
    """Return the longest run that `fit` finds, of `least` segments or more.

    Few noisy chords may make no arc where many do, so failures end the search only when it is `strict`.
    """
    best, size, failed = None, least, limit + 1
    while first + size <= limit:
        found = fit(c, first, first + size)
        if found is not None:
            best, failed = found, limit + 1
        else:
            failed = min(failed, first + size)
            if strict:
                break
        size = size * 2 if first + size * 2 <= limit or first + size == limit else limit - first
    while best is not None and failed - best.last > 1:
        middle = (best.last + failed) // 2
        found = fit(c, first, middle)
        best, failed = (found, failed) if found is not None else (best, middle)
    return best


def _height(c: _Chain, first: int, last: int) -> tuple[float, float]:
    """Return how far the vertex halfway lies from the straight line `first` to `last`, and that line's length."""
    (x0, y0), (x1, y1), (x, y) = c.spots[first], c.spots[last], c.spots[(first + last) // 2]
    dx, dy = x1 - x0, y1 - y0
    length = math.hypot(dx, dy)
    return (abs((x - x0) * dy - (y - y0) * dx) / length if length > 0 else math.hypot(x - x0, y - y0)), length


def _too_high(c: _Chain, first: int, last: int) -> bool:
    """Return whether `first` to `last` bows too much for any arc that has its lines as chords.

    A quick look at one vertex: a chord of length l that may bow by b belongs to a radius of l * l / (8 * b) or
    more, and so no vertex of less than a half circle can lie farther from its ends' line than on that radius.
    """
    widest = max(c.along[k + 1] - c.along[k] for k in range(first, last) if c.real[k]) if c.real[first] else 0.0
    least = widest * widest / (8 * (c.bow + c.tolerance)) - c.tolerance
    if c.along[last] - c.along[first] > 1.5 * least:
        return False
    height, length = _height(c, first, last)
    return height > least - math.sqrt(max(least * least - length * length / 4, 0.0)) + 2 * c.tolerance + 1e-6


def _line(c: _Chain, first: int, last: int) -> _Run | None:
    """Return the one line from vertex `first` to `last`."""
    if _height(c, first, last)[0] > c.tolerance + 1e-6:
        return None
    points = c.points[c.place[first] : c.place[last] + 1]
    p0, p1 = points[0], points[-1]
    chord = p1 - p0
    length = float(np.hypot(chord[0], chord[1]))
    if length <= 2 * c.tolerance:
        return None
    error = float(chord_distances(points, p0, p1).max())
    if error > c.tolerance or float(np.diff(points @ chord).min()) < -2 * c.tolerance * length:
        return None
    return _Run(np.array([(*p0, 0.0), (*p1, 0.0)]), first, last, error)


def _arc(c: _Chain, first: int, last: int) -> _Run | None:
    """Return the one arc from vertex `first` to `last`, whose lines are chords of it."""
    lines = c.real[first:last]
    if 0 < int(np.count_nonzero(lines)) < FEWEST_CHORDS or _too_high(c, first, last):
        return None
    points = c.points[c.place[first] : c.place[last] + 1]
    arc = through_ends(points, 2 * c.tolerance, c.tolerance)
    if arc is None:
        return None
    error = _chord_error(c.vertices[first : last + 1], lines, arc.center, arc.radius, c.bow, c.tolerance)
    return None if error is None else _Run(arc.vertices, first, last, max(error, arc.error))


def _worth(b: Bundle, tolerance: float) -> Bools:
    """Return which paths hold neighbours that may be one: a first sieve, for all at once."""
    s = b.segments()
    following = np.arange(1, len(s) + 1)
    last = np.append(s.owner[1:] != s.owner[:-1], True)
    first_of = np.searchsorted(s.owner, np.arange(len(b)))
    following[last] = first_of[s.owner[last]]
    joint = ~last | b.closed[s.owner]
    t = following
    chord = s.p1 - s.p0
    reach = np.hypot(chord[:, 0], chord[:, 1])
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    turn = heading[t] - s.sweep[t] / 2 - heading - s.sweep / 2
    turn = (turn + np.pi) % (2 * np.pi) - np.pi
    height = np.abs(np.sin(turn)) * np.minimum(reach, reach[t])
    soft = joint & (np.abs(turn) < HARD_CORNER)
    flat = np.where(s.is_arc, np.abs(np.tan(s.sweep / 4)) * reach / 2, 0.0) <= tolerance
    lines = soft & flat & flat[t] & (height <= 2 * tolerance)
    radius = np.where(s.is_arc, s.radius, 0.0)
    same = (np.hypot(*(s.center[t] - s.center).T) <= 2 * tolerance) & (np.abs(radius[t] - radius) <= 2 * tolerance)
    arcs = soft & s.is_arc & s.is_arc[t] & same & (s.sweep * s.sweep[t] > 0)
    arcs &= np.abs(s.sweep + s.sweep[t]) <= np.pi + 1e-6
    worth = np.zeros(len(b), dtype=np.bool_)
    for hit in (lines, arcs, reach <= 2 * tolerance, _in_a_row(soft & ~s.is_arc & ~s.is_arc[t])):
        worth[s.owner[hit]] = True
    return worth


def _in_a_row(soft: Bools) -> Bools:
    """Return where `FEWEST_CHORDS` - 1 soft joints follow each other."""
    count = np.cumsum(np.concatenate([[0], soft]))
    long = np.zeros(len(soft), dtype=np.bool_)
    n = FEWEST_CHORDS - 1
    if len(soft) >= n:
        long[n - 1 :] = count[n:] - count[:-n] == n
    return long
