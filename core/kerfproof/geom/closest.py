"""Exact least distances of points and segments, in closed form."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.carrier import bowed, cross, dot, norm, turned_left, within_sweep
from kerfproof.geom.path import Floats, Ints, Segments

_CHUNK = 1 << 15
"""So many pairs at once stay within the processor's cache."""


def point_distances(points: Floats, s: Segments, j: Ints) -> Floats:
    """Return the distance of point k (k, 2) from segment `j[k]`, exact for arcs (k,)."""
    out = np.empty(len(j))
    arc = bowed(s)[j]
    straight = ~arc
    out[straight] = _point_to_line(points[straight], s.p0[j[straight]], s.p1[j[straight]])
    out[arc] = _point_to_arc(points[arc], s, j[arc])
    return out


def closest_points(points: Floats, s: Segments, j: Ints) -> Floats:
    """Return the point (k, 2) of segment `j[k]` that lies nearest to point k."""
    p0, chord = s.p0[j], s.p1[j] - s.p0[j]
    share = np.clip(dot(points - p0, chord) / dot(chord, chord), 0.0, 1.0)
    out = p0 + share[:, None] * chord
    arc = bowed(s)[j]
    k = j[arc]
    center, p = s.center[k], points[arc]
    away = norm(p - center)
    middle = s.points(k, np.full(len(k), 0.5)) - center
    unit = np.where((away > 0)[:, None], p - center, middle) / np.where(away > 0, away, s.radius[k])[:, None]
    ends = np.where((norm(p - s.p0[k]) <= norm(p - s.p1[k]))[:, None], s.p0[k], s.p1[k])
    inside = within_sweep(s, k, p)[:, None]
    out[arc] = np.where(inside, center + s.radius[k][:, None] * unit, ends)
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


def _point_to_line(p: Floats, p0: Floats, p1: Floats) -> Floats:
    chord, away = p1 - p0, p - p0
    share = np.clip(dot(away, chord) / dot(chord, chord), 0.0, 1.0)
    return np.hypot(away[:, 0] - share * chord[:, 0], away[:, 1] - share * chord[:, 1])


def _point_to_arc(p: Floats, s: Segments, j: Ints) -> Floats:
    to_ends = np.minimum(norm(p - s.p0[j]), norm(p - s.p1[j]))
    to_circle = np.abs(norm(p - s.center[j]) - s.radius[j])
    return np.where(within_sweep(s, j, p), to_circle, to_ends)


def _pair_distances(a: Segments, i: Ints, b: Segments, j: Ints) -> Floats:
    out = np.minimum(
        np.minimum(point_distances(a.p0[i], b, j), point_distances(a.p1[i], b, j)),
        np.minimum(point_distances(b.p0[j], a, i), point_distances(b.p1[j], a, i)),
    )
    arc_a, arc_b = bowed(a)[i], bowed(b)[j]
    lines = ~arc_a & ~arc_b
    out[lines] = np.where(_lines_cross(a, i[lines], b, j[lines]), 0.0, out[lines])
    for mask, line, li, arc, ai in ((~arc_a & arc_b, a, i, b, j), (arc_a & ~arc_b, b, j, a, i)):
        out[mask] = np.minimum(out[mask], _line_to_arc_inside(line, li[mask], arc, ai[mask]))
    arcs = arc_a & arc_b
    out[arcs] = np.minimum(out[arcs], _arc_to_arc_inside(a, i[arcs], b, j[arcs]))
    return out


def _lines_cross(a: Segments, i: Ints, b: Segments, j: Ints) -> Floats:
    a0, a1, b0, b1 = a.p0[i], a.p1[i], b.p0[j], b.p1[j]
    along_a, along_b = a1 - a0, b1 - b0
    split_a = cross(along_b, a0 - b0) * cross(along_b, a1 - b0) < 0
    split_b = cross(along_a, b0 - a0) * cross(along_a, b1 - a0) < 0
    return np.asarray(split_a & split_b)


def _line_to_arc_inside(a: Segments, i: Ints, b: Segments, j: Ints) -> Floats:
    """Return the least distance between insides of line `i` and arc `j`, inf where only ends count."""
    p0, chord = a.p0[i], a.p1[i] - a.p0[i]
    length = norm(chord)
    unit = chord / length[:, None]
    center, radius = b.center[j], b.radius[j]
    along = dot(center - p0, unit)
    foot = p0 + along[:, None] * unit
    away = norm(center - foot)
    on_line = (along >= 0) & (along <= length)
    out = np.where(on_line & within_sweep(b, j, foot), np.abs(away - radius), np.inf)
    half = np.sqrt(np.maximum((radius - away) * (radius + away), 0.0))
    for side in (-half, half):
        place = along + side
        met = (away <= radius) & (place >= 0) & (place <= length)
        met &= within_sweep(b, j, p0 + place[:, None] * unit)
        out[met] = 0.0
    return out


def _arc_to_arc_inside(a: Segments, i: Ints, b: Segments, j: Ints) -> Floats:
    """Return the least distance between insides of two arcs, inf where only ends count."""
    ca, cb, ra, rb = a.center[i], b.center[j], a.radius[i], b.radius[j]
    towards = cb - ca
    away = norm(towards)
    apart = np.where(away > 0, away, 1.0)
    unit = towards / apart[:, None]
    out = np.full(len(i), np.inf)
    for side_a in (1.0, -1.0):
        pa = ca + (side_a * ra)[:, None] * unit
        on_a = (away > 0) & within_sweep(a, i, pa)
        for side_b in (1.0, -1.0):
            pb = cb + (side_b * rb)[:, None] * unit
            gap = np.abs(away + side_b * rb - side_a * ra)
            out = np.where(on_a & within_sweep(b, j, pb), np.minimum(out, gap), out)
    along = (away + (ra - rb) * (ra + rb) / apart) / 2
    square = (ra - along) * (ra + along)
    cut = (away > 0) & (square >= 0)
    half = np.sqrt(np.maximum(square, 0.0))
    for side in (-half, half):
        place = ca + along[:, None] * unit + side[:, None] * turned_left(unit)
        out[cut & within_sweep(a, i, place) & within_sweep(b, j, place)] = 0.0
    return out
