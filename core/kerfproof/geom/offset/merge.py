"""Neighbours on one line or one circle made one segment."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.carrier import bowed, cross, dot, norm
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path, Segments

STRAIGHT = 1e-6
"""A vertex within this (mm) of the line or circle on to the next one may go."""


def merged(paths: Bundle) -> list[Path]:
    """Return closed `paths` without vertices that only part a line from its own continuation, or an arc.

    No arc grows beyond a half circle. A path may begin at another vertex than before.
    """
    s = paths.segments()
    before = np.arange(len(s)) - 1
    before[paths.start_of[:-1]] = paths.start_of[1:] - 1
    idle = _idle(s, before)
    touched = np.logical_or.reduceat(idle, paths.start_of[:-1]) if len(paths) else np.empty(0, dtype=np.bool_)
    out = []
    for i in range(len(paths)):
        part = slice(int(paths.start_of[i]), int(paths.start_of[i + 1]))
        vertices = paths.vertices[part]
        out.append(Path(_thinned(vertices, idle[part]) if touched[i] else vertices, True))
    return out


def _idle(s: Segments, before: Ints) -> Bools:
    """Return which vertices (m,), the begin of each segment, lie on one carrier with both neighbours."""
    arc = bowed(s)
    arc0 = arc[before]
    a, b, c = s.p0[before], s.p0, s.p1
    chord = c - a
    length = np.maximum(norm(chord), 1e-12)
    lines = ~arc & ~arc0 & (dot(b - a, c - b) > 0) & (np.abs(cross(chord, b - a)) <= STRAIGHT * length)
    same = arc & arc0 & (s.bulge * s.bulge[before] > 0)
    radius, radius0 = np.where(arc, s.radius, 0.0), np.where(arc0, s.radius[before], 0.0)
    one = (norm(s.center - s.center[before]) <= STRAIGHT) & (np.abs(radius - radius0) <= STRAIGHT)
    return np.asarray(lines | (same & one & (np.abs(s.sweep + s.sweep[before]) <= np.pi + 1e-9)))


def _thinned(vertices: Floats, idle: Bools) -> Floats:
    """Return the vertices of one path without idle ones, as far as the kept ones still describe it."""
    if idle.all():
        return vertices
    first = int(np.flatnonzero(~idle)[0])
    rolled, may_go = np.roll(vertices, -first, axis=0), np.roll(idle, -first)
    out = [rolled[0].copy()]
    gone: list[Floats] = []
    following = np.roll(rolled[:, :2], -1, axis=0)
    for k in range(1, len(rolled)):
        sweep = 4 * (np.arctan(out[-1][2]) + np.arctan(rolled[k, 2]))
        if may_go[k] and abs(sweep) <= np.pi + 1e-9 and _on_line(out[-1], [*gone, rolled[k]], following[k]):
            gone.append(rolled[k])
            out[-1][2] = np.tan(sweep / 4)
        else:
            gone = []
            out.append(rolled[k].copy())
    return np.array(out) if len(out) >= 2 else vertices


def _on_line(first: Floats, gone: list[Floats], last: Floats) -> bool:
    """Return whether all dropped vertices stay by the chord from `first` to `last`; arcs are taken on trust."""
    if first[2] != 0:
        return True
    chord = last - first[:2]
    length = max(float(np.hypot(*chord)), 1e-12)
    return all(abs(chord[0] * (v[1] - first[1]) - chord[1] * (v[0] - first[0])) <= STRAIGHT * length for v in gone)
