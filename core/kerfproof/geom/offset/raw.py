"""Raw offsets: every line shifted and every arc re-radiused, with what happens at each corner.

Signs: positive distance and positive turn are to the left of travel. A corner is a *gap* when the shifted
neighbours part there, else they run into each other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.carrier import Carriers, bowed, carrier_meetings, cross, dot, norm, turned_left
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments

SNAP = 1e-4
"""Shifted neighbours whose ends lie nearer than this (mm) get one point between: tangent joins, also noisy ones."""
MITRE_DEVIATION = 1e-3
"""A gap is closed without an arc where the corner then lies at most this (mm) too far out."""
MITRE_LIMIT = 4.0
"""Longest mitre in distances, for sharp corners; beyond it they are rounded."""

CUSP = 1e-7
"""Corners nearer than this (rad) to turning straight back are cusps."""

SHARED, ROUND, MITRED, OPEN = 0, 1, 2, 3
"""Corners: one point; an arc round the vertex; two lines to a mitre; run into each other and no meeting found."""


@dataclass(frozen=True, slots=True, eq=False)
class Raw:
    """The raw offset of closed paths, one row per segment (m,); corner k lies at the end of segment k.

    `source` segments, `distance` of each, `following` segment. `begin` and `end` (m, 2) are the shifted ends
    before corners are met, `radius` that of shifted arcs (0 or less: turned inside out; of lines infinite),
    `arc` which are arcs. `turn` (m,) radians at the corner, `gap` whether the shifted neighbours part,
    `kind` of corner, `corner` (m, 2) the shared point or the mitre's tip.
    """

    source: Segments
    distance: Floats
    following: Ints
    begin: Floats
    end: Floats
    radius: Floats
    arc: Bools
    turn: Floats
    gap: Bools
    kind: Ints
    corner: Floats


def raw_offset(paths: Bundle, distance: Floats, sharp: bool) -> Raw:
    """Return the raw offset of closed `paths`, each at its own `distance` (n,)."""
    s = paths.segments()
    following = np.arange(1, len(s) + 1)
    following[paths.start_of[1:] - 1] = paths.start_of[:-1]
    d = np.asarray(distance, dtype=np.float64)[s.owner]
    everything = np.arange(len(s))
    t0, t1 = s.tangents(everything, np.zeros(len(s))), s.tangents(everything, np.ones(len(s)))
    n0, n1 = turned_left(t0), turned_left(t1)
    arc = bowed(s)
    radius = np.where(arc, s.radius - np.sign(s.bulge) * d, np.inf)
    begin, end = s.p0 + d[:, None] * n0, s.p1 + d[:, None] * n1
    ahead = t0[following]
    turn = np.arctan2(cross(t1, ahead), dot(t1, ahead))
    # Of a cusp the bends tell to which side it turns back: bending left, the way back lies on the right.
    bend = np.where(arc, np.sign(s.bulge), 0.0) / np.where(arc, s.radius, 1.0)
    cusp = np.abs(turn) > np.pi - CUSP
    turn = np.where(cusp, np.copysign(np.pi, -(bend + bend[following])), turn)
    gap = turn * d < 0
    carriers = Carriers(np.where(arc[:, None], s.center, begin), t0, radius, arc)
    kind, corner = _corners(s, d, carriers, n1, n0[following], end, begin[following], following, gap, sharp)
    return Raw(s, d, following, begin, end, radius, arc, turn, gap, kind, corner)


def _corners(
    s: Segments,
    d: Floats,
    carriers: Carriers,
    n1: Floats,
    n0: Floats,
    end: Floats,
    begin: Floats,
    following: Ints,
    gap: Bools,
    sharp: bool,
) -> tuple[Ints, Floats]:
    """Return kind and point of each corner; see `Raw`."""
    vertex, bisector = s.p1, n1 + n0
    width = np.abs(1 + dot(n1, n0))
    tip = vertex + (d / np.maximum(width, 1e-12))[:, None] * bisector
    near = norm(end - begin) <= SNAP
    kind = np.where(gap, ROUND, OPEN)
    corner = tip.copy()
    ask = np.flatnonzero(~near)
    met, _ = carrier_meetings(carriers.take(ask), carriers.take(following[ask]))
    away = np.hypot(*np.moveaxis(met - tip[ask][:, None, :], 2, 0))
    nearer = np.where(np.isnan(away[:, 1]) | (away[:, 0] <= away[:, 1]), 0, 1)
    point = met[np.arange(len(ask)), nearer]
    found = np.isfinite(point[:, 0])
    over = norm(point - vertex[ask]) - np.abs(d[ask])
    closes = np.abs(over) <= MITRE_DEVIATION
    closes &= norm(point - (end[ask] + begin[ask]) / 2) <= norm(end[ask] - begin[ask])
    taken = found & (~gap[ask] | closes)
    kind[ask[taken]] = SHARED
    corner[ask[taken]] = point[taken]
    if sharp:
        mitre = (kind == ROUND) & (2 / np.maximum(width, 1e-12) <= MITRE_LIMIT**2)
        straight = ~carriers.is_arc & ~carriers.is_arc[following]
        kind = np.where(mitre, np.where(straight, SHARED, MITRED), kind)
    direction = bisector / np.maximum(norm(bisector), 1e-12)[:, None]
    kind = np.where(near, SHARED, kind)
    corner[near] = (vertex + d[:, None] * direction)[near]
    return kind, corner


def met_ends(raw: Raw, joined: Bools) -> tuple[Floats, Floats, Floats]:
    """Return begin, end and sweep of each shifted piece when the corners `joined` (m,) are drawn to their point."""
    end = np.where(joined[:, None], raw.corner, raw.end)
    begin = raw.begin.copy()
    begin[raw.following] = np.where(joined[:, None], raw.corner, raw.begin[raw.following])
    center = raw.source.center
    gained = _turned(raw.end - center, end - center) - _turned(raw.begin - center, begin - center)
    return begin, end, np.where(raw.arc, raw.source.sweep + gained, 0.0)


def _turned(a: Floats, b: Floats) -> Floats:
    return np.arctan2(cross(a, b), dot(a, b))
