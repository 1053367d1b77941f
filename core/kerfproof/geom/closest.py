"""Exact least distances of points and segments, in closed form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.carrier import FLAT_BULGE, cross, dot, norm, turned_left
from kerfproof.geom.path import Bools, Floats, Ints, Segments

_CHUNK = 1 << 15
"""So many pairs at once stay within the processor's cache."""


def point_distances(points: Floats, s: Segments, j: Ints) -> Floats:
    """Return the distance of point k (k, 2) from segment `j[k]`, exact for arcs (k,)."""
    out = np.empty(len(j))
    for low in range(0, len(j), _CHUNK):
        part = slice(low, low + _CHUNK)
        p, k, away = points[part], j[part], out[part]
        bow = _bowed(s, k)
        straight = np.flatnonzero(~bow)
        if len(straight) == len(k):
            away[:] = _Lines.of(s, k).distances(p)
            continue
        arc = np.flatnonzero(bow)
        away[straight] = _Lines.of(s, k.take(straight)).distances(p.take(straight, axis=0))
        away[arc] = _Arcs.of(s, k.take(arc)).distances(p.take(arc, axis=0))
    return out


def closest_points(points: Floats, s: Segments, j: Ints) -> Floats:
    """Return the point (k, 2) of segment `j[k]` that lies nearest to point k."""
    line = _Lines.of(s, j)
    out: Floats = line.p0 + line.shares(points)[:, None] * line.chord
    arc = np.flatnonzero(_bowed(s, j))
    if not len(arc):
        return out
    k = j.take(arc)
    a, p = _Arcs.of(s, k), points.take(arc, axis=0)
    towards = p - a.center
    away = norm(towards)
    middle = s.points(k, np.full(len(k), 0.5)) - a.center
    unit = np.where((away > 0)[:, None], towards, middle) / np.where(away > 0, away, a.radius)[:, None]
    ends = np.where((norm(p - a.p0) <= norm(p - a.p1))[:, None], a.p0, a.p1)
    out[arc] = np.where(a.within(p)[:, None], a.center + a.radius[:, None] * unit, ends)
    return out


def pair_distances(a: Segments, i: Ints, b: Segments, j: Ints) -> Floats:
    """Return the least distance between segment `i[k]` of `a` and `j[k]` of `b` (k,), 0 where they meet.

    Closed form for lines and arcs: no sampling, nothing between samples to miss.
    """
    out = np.empty(len(i))
    for low in range(0, len(i), _CHUNK):
        part = slice(low, low + _CHUNK)
        out[part] = _pair_distances(a, i[part], b, j[part])
    return out


def _bowed(s: Segments, j: Ints) -> Bools:
    return np.asarray(np.abs(s.bulge.take(j)) >= FLAT_BULGE)


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """Lines, one for each pair (k,). Rows are taken, not indexed: of two columns that is thirty times as fast."""

    p0: Floats
    p1: Floats
    chord: Floats
    square: Floats

    @staticmethod
    def of(s: Segments, j: Ints) -> _Lines:
        p0, p1 = s.p0.take(j, axis=0), s.p1.take(j, axis=0)
        chord = p1 - p0
        return _Lines(p0, p1, chord, dot(chord, chord))

    def shares(self, points: Floats) -> Floats:
        """Return how far along the line the nearest place to each point lies, 0 to 1."""
        return np.clip(dot(points - self.p0, self.chord) / self.square, 0.0, 1.0)

    def squares(self, points: Floats) -> Floats:
        """Return the distances of points squared (k,)."""
        away = points - self.p0
        share = np.clip(dot(away, self.chord) / self.square, 0.0, 1.0)
        x, y = away[:, 0] - share * self.chord[:, 0], away[:, 1] - share * self.chord[:, 1]
        return np.asarray(x * x + y * y)

    def distances(self, points: Floats) -> Floats:
        return np.sqrt(self.squares(points))


@dataclass(frozen=True, slots=True, eq=False)
class _Arcs:
    """Arcs, one for each pair (k,); `first` and `last` lead from the centre to the ends, `side` is that of the turn."""

    p0: Floats
    p1: Floats
    center: Floats
    radius: Floats
    first: Floats
    last: Floats
    side: Floats

    @staticmethod
    def of(s: Segments, j: Ints) -> _Arcs:
        p0, p1, center = s.p0.take(j, axis=0), s.p1.take(j, axis=0), s.center.take(j, axis=0)
        return _Arcs(p0, p1, center, s.radius.take(j), p0 - center, p1 - center, np.sign(s.bulge.take(j)))

    def take(self, which: Ints) -> _Arcs:
        """Return the picked ones."""
        return _Arcs(*(getattr(self, name).take(which, axis=0) for name in _Arcs.__slots__))

    def within(self, points: Floats) -> Bools:
        """Return whether the direction from the centre to the point lies within the sweep (k,)."""
        return self._faces(points - self.center)

    def _faces(self, towards: Floats) -> Bools:
        after = cross(self.first, towards) * self.side >= 0
        before = cross(towards, self.last) * self.side >= 0
        return np.asarray(after & before)

    def distances(self, points: Floats) -> Floats:
        to_first, to_last, towards = points - self.p0, points - self.p1, points - self.center
        to_ends = np.sqrt(np.minimum(dot(to_first, to_first), dot(to_last, to_last)))
        return np.where(self._faces(towards), np.abs(norm(towards) - self.radius), to_ends)


def _pair_distances(a: Segments, i: Ints, b: Segments, j: Ints) -> Floats:
    out = np.empty(len(i))
    bow_a, bow_b = _bowed(a, i), _bowed(b, j)
    k = np.flatnonzero(~bow_a & ~bow_b)
    if len(k):
        out[k] = _of_lines(_Lines.of(a, i.take(k)), _Lines.of(b, j.take(k)))
    k = np.flatnonzero(~bow_a & bow_b)
    if len(k):
        out[k] = _of_line_and_arc(_Lines.of(a, i.take(k)), _Arcs.of(b, j.take(k)))
    k = np.flatnonzero(bow_a & ~bow_b)
    if len(k):
        out[k] = _of_line_and_arc(_Lines.of(b, j.take(k)), _Arcs.of(a, i.take(k)))
    k = np.flatnonzero(bow_a & bow_b)
    if len(k):
        out[k] = _of_arcs(_Arcs.of(a, i.take(k)), _Arcs.of(b, j.take(k)))
    return out


def _from_ends(a: _Lines | _Arcs, b: _Arcs) -> Floats:
    """Return the least distance of an end of either from the other."""
    return np.minimum(
        np.minimum(b.distances(a.p0), b.distances(a.p1)), np.minimum(a.distances(b.p0), a.distances(b.p1))
    )


def _of_lines(a: _Lines, b: _Lines) -> Floats:
    # Of lines the nearest is picked before the root is taken.
    out = np.sqrt(
        np.minimum(np.minimum(b.squares(a.p0), b.squares(a.p1)), np.minimum(a.squares(b.p0), a.squares(b.p1)))
    )
    split_a = cross(b.chord, a.p0 - b.p0) * cross(b.chord, a.p1 - b.p0) < 0
    split_b = cross(a.chord, b.p0 - a.p0) * cross(a.chord, b.p1 - a.p0) < 0
    out[split_a & split_b] = 0.0
    return out


def _of_line_and_arc(line: _Lines, arc: _Arcs) -> Floats:
    out = _from_ends(line, arc)
    length = norm(line.chord)
    unit = line.chord / length[:, None]
    along = dot(arc.center - line.p0, unit)
    foot = line.p0 + along[:, None] * unit
    away = norm(arc.center - foot)
    beside = np.flatnonzero((along >= 0) & (along <= length))
    faces = arc.take(beside).within(foot.take(beside, axis=0))
    out[beside] = np.where(faces, np.minimum(out[beside], np.abs(away - arc.radius)[beside]), out[beside])
    half = np.sqrt(np.maximum((arc.radius - away) * (arc.radius + away), 0.0))
    for side in (-half, half):
        place = along + side
        on = np.flatnonzero((away <= arc.radius) & (place >= 0) & (place <= length))
        points = line.p0.take(on, axis=0) + place[on, None] * unit.take(on, axis=0)
        out[on[arc.take(on).within(points)]] = 0.0
    return out


def _of_arcs(a: _Arcs, b: _Arcs) -> Floats:
    out = _from_ends(a, b)
    towards = b.center - a.center
    away = norm(towards)
    apart = np.where(away > 0, away, 1.0)
    unit = towards / apart[:, None]
    on_b = [b.within(b.center + (side * b.radius)[:, None] * unit) for side in (1.0, -1.0)]
    for side_a in (1.0, -1.0):
        on_a = (away > 0) & a.within(a.center + (side_a * a.radius)[:, None] * unit)
        for side_b, on in zip((1.0, -1.0), on_b, strict=True):
            gap = np.abs(away + side_b * b.radius - side_a * a.radius)
            out = np.where(on_a & on, np.minimum(out, gap), out)
    along = (away + (a.radius - b.radius) * (a.radius + b.radius) / apart) / 2
    square = (a.radius - along) * (a.radius + along)
    cut = (away > 0) & (square >= 0)
    half = np.sqrt(np.maximum(square, 0.0))
    for side in (-half, half):
        place = a.center + along[:, None] * unit + side[:, None] * turned_left(unit)
        out[cut & a.within(place) & b.within(place)] = 0.0
    return out
