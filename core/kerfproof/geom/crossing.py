"""Where segments cross, touch or lie on each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kerfproof.geom.carrier import Carriers, bowed, carrier_meetings, cross, dot, norm
from kerfproof.geom.closest import closest_points, pair_distances, point_distances
from kerfproof.geom.index import box_pairs, own_pairs
from kerfproof.geom.path import Bools, Floats, Ints, Segments

CROSS, TOUCH, OVERLAP = "cross", "touch", "overlap"


@dataclass(frozen=True, slots=True, eq=False)
class Crossings:
    """Meetings of segments `i` and `j` (k,), i < j, at `at` (k, 2), sorted by i, j and place along i.

    `kind` (k,) is ``cross`` (through each other inside both), ``touch`` (an end of one on the other, or tangent)
    or ``overlap`` (a stretch in common; `at` is its middle).
    """

    i: Ints
    j: Ints
    at: Floats
    kind: NDArray[np.str_]

    def __len__(self) -> int:
        return len(self.i)


def crossings(
    s: Segments, *, owner_pairs: Literal["all", "same", "other"] = "all", tolerance: float = 1e-6
) -> Crossings:
    """Return all places where segments meet that should not.

    `owner_pairs` picks segments of the same path, of different paths, or both. Nearer than `tolerance` (mm) is
    met. Neighbours in a path meet at their shared vertex by right; only another meeting of them counts, and
    a stretch in common (out and back on itself).
    """
    boxes = s.boxes()
    if owner_pairs == "same":
        i, j = own_pairs(boxes, s.owner, boxes, s.owner, tolerance)
        wanted = i < j
    else:
        i, j = box_pairs(boxes, boxes, tolerance)
        wanted = (i < j) & ((owner_pairs == "all") | (s.owner[i] != s.owner[j]))
    i, j = i[wanted], j[wanted]
    return meetings_of_pairs(s, i, j, tolerance)


def neighbours(s: Segments, i: Ints, j: Ints) -> tuple[Bools, Bools]:
    """Return for i < j whether i ends where j begins, and whether j ends where i begins, as path neighbours."""
    same = s.owner[i] == s.owner[j]
    on = same & (s.index[j] == s.index[i] + 1)
    last = np.zeros(int(s.owner.max(initial=-1)) + 1, dtype=np.int64)
    np.maximum.at(last, s.owner, s.index)
    around = same & (s.index[i] == 0) & (s.index[j] == last[s.owner[j]]) & (s.index[j] > 0)
    around &= norm(s.p1.take(j, axis=0) - s.p0.take(i, axis=0)) <= 1e-9
    return on, around


def meetings_of_pairs(s: Segments, i: Ints, j: Ints, tolerance: float = 1e-6) -> Crossings:
    """Return the meetings of given pairs i < j of segments; see `crossings`."""
    on, around = neighbours(s, i, j)
    near = on | around
    # Most pairs are neighbours that meet at their vertex only, or boxes that overlap by chance: sort these out.
    keep = near & _may_meet_again(s, i, j, on, around)
    loose = np.flatnonzero(~near)
    keep[loose] = pair_distances(s, i[loose], s, j[loose]) <= tolerance
    i, j, on, around = i[keep], j[keep], on[keep], around[keep]
    return _collect(s, i, j, on, around, tolerance)


def _may_meet_again(s: Segments, i: Ints, j: Ints, on: Bools, around: Bools) -> Bools:
    """Return which neighbours turn enough, by bending and at their corner, to come back on each other.

    A curve that turns by no more than a half circle in all can't meet itself.
    """
    first, second = np.where(on, i, j), np.where(on, j, i)
    a, b = (s.p1.take(k, axis=0) - s.p0.take(k, axis=0) for k in (first, second))
    bend = s.sweep[first] + s.sweep[second]
    corner = np.arctan2(cross(a, b), dot(a, b)) - bend / 2
    corner = np.abs((corner + np.pi) % (2 * np.pi) - np.pi)
    total = corner + np.abs(s.sweep[first]) + np.abs(s.sweep[second])
    return np.asarray((total > np.pi + 1e-7) | (corner > np.pi - 1e-4) | (on & around))


def _collect(s: Segments, i: Ints, j: Ints, on: Bools, around: Bools, tolerance: float) -> Crossings:
    places, crossed = meeting_places(s, i, j, tolerance)
    k, column = np.nonzero(np.isfinite(places[:, :, 0]))
    at, proper = places[k, column], crossed[k, column]
    by_right = (on[k] & (norm(at - s.p1[i[k]]) <= 4 * tolerance)) | (
        around[k] & (norm(at - s.p0[i[k]]) <= 4 * tolerance)
    )
    share = share_along(s, i[k], at)
    order = np.lexsort((proper, share, k))
    k, at, proper, by_right = k[order], at[order], proper[order], by_right[order]
    stretch = _stretches(s, i, j, k, at, tolerance)
    overlapping = np.zeros(len(i), dtype=np.bool_)
    overlapping[k[stretch]] = True
    middle = _middles(s, i[k[stretch]], at[stretch], at[np.minimum(stretch + 1, len(at) - 1)])
    twin = np.zeros(len(k), dtype=np.bool_)
    twin[1:] = (k[1:] == k[:-1]) & (norm(at[1:] - at[:-1]) <= 4 * tolerance)
    lone = ~by_right & ~twin & ~overlapping[k]
    kinds = np.where(proper[lone], CROSS, TOUCH)
    rows = np.concatenate([k[lone], k[stretch]])
    points = np.vstack([at[lone], middle])
    names = np.concatenate([kinds, np.full(len(stretch), OVERLAP)]).astype(np.str_)
    final = np.lexsort((share_along(s, i[rows], points), j[rows], i[rows]))
    rows = rows[final]
    return Crossings(i[rows], j[rows], points[final], names[final])


def meeting_places(s: Segments, i: Ints, j: Ints, tolerance: float) -> tuple[Floats, Bools]:
    """Return places (k, 7, 2) where pairs meet, nan where not, and which are crossings inside both (k, 7)."""
    carriers = Carriers.of(s)
    places, depth = carrier_meetings(carriers.take(i), carriers.take(j))
    tangent = np.abs(depth) <= tolerance
    places[tangent, 0] = places[tangent].mean(axis=1)
    straight = np.isinf(depth)
    places[tangent | straight, 1] = np.nan
    ends = np.stack([s.p0[i], s.p1[i], s.p0[j], s.p1[j]], axis=1)
    out = np.concatenate([places, ends], axis=1)
    proper = np.zeros(out.shape[:2], dtype=np.bool_)
    for c in range(out.shape[1]):
        known = np.flatnonzero(np.isfinite(out[:, c, 0]))
        p = out[known, c]
        away = np.maximum(point_distances(p, s, i[known]), point_distances(p, s, j[known]))
        out[known[away > tolerance], c] = np.nan
        if c < 2:
            to_end = np.min([norm(p - ends[known, e]) for e in range(4)], axis=0)
            proper[known, c] = ~tangent[known] & (to_end > tolerance)
    return out, proper


def share_along(s: Segments, which: Ints, at: Floats) -> Floats:
    """Return how far along its segment each point lies, growing from its start to its end."""
    chord = s.p1[which] - s.p0[which]
    along = dot(at - s.p0[which], chord) / dot(chord, chord)
    center = s.center[which]
    a, v = s.p0[which] - center, at - center
    # Measured from the middle of the arc, so that the cut of the angle lies opposite.
    angle = np.arctan2(cross(a, v), dot(a, v)) * np.sign(s.bulge[which])
    sweep = np.abs(s.sweep[which])
    half = sweep / 2
    angle = (angle - half + np.pi) % (2 * np.pi) - np.pi + half
    return np.where(bowed(s)[which], angle / np.where(sweep > 0, sweep, 1.0), along)


def _middles(s: Segments, which: Ints, a: Floats, b: Floats) -> Floats:
    """Return the point of segment `which` halfway between two points of it."""
    return s.points(which, np.clip((share_along(s, which, a) + share_along(s, which, b)) / 2, 0.0, 1.0))


def _stretches(s: Segments, i: Ints, j: Ints, k: Ints, at: Floats, tolerance: float) -> Ints:
    """Return rows r such that between `at[r]` and `at[r + 1]` the pair lies on each other."""
    r = np.flatnonzero((k[1:] == k[:-1]) & (norm(at[1:] - at[:-1]) > 4 * tolerance))
    middle = _middles(s, i[k[r]], at[r], at[r + 1])
    on_other = norm(middle - closest_points(middle, s, j[k[r]])) <= tolerance
    return r[on_other]
