"""The fast offset: all paths of the sheet at once, for those whose corners and pieces all survive."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.carrier import dot, norm
from kerfproof.geom.offset.raw import MITRED, OPEN, ROUND, SHARED, Raw, met_ends, raw_offset
from kerfproof.geom.path import Bools, Bundle, Floats

SHORTEST = 1e-5
"""A piece shorter than this (mm) counts as gone."""


def fast_offset(paths: Bundle, distance: Floats, sharp: bool) -> tuple[Bundle, Bools]:
    """Return the offset curves as one bundle, and which of them (n,) have all pieces running forward.

    Those that have not are garbage. Those that have still may cross themselves elsewhere.
    """
    raw = raw_offset(paths, distance, sharp)
    begin, end, sweep = met_ends(raw, raw.kind == SHARED)
    good = _forward(raw, begin, end, sweep) & (raw.kind != OPEN)
    whole = np.logical_and.reduceat(good, paths.start_of[:-1]) if len(paths) else np.empty(0, dtype=np.bool_)
    vertices, count = _assembled(raw, begin, end, sweep)
    per_path = np.add.reduceat(count, paths.start_of[:-1]) if len(paths) else np.empty(0, dtype=np.int64)
    starts = np.concatenate([[0], np.cumsum(per_path)]).astype(np.int64)
    return Bundle(vertices, starts, paths.closed), whole


def _forward(raw: Raw, begin: Floats, end: Floats, sweep: Floats) -> Bools:
    """Return which pieces (m,) still run the way of their source."""
    s = raw.source
    line = dot(end - begin, s.p1 - s.p0) > SHORTEST * norm(s.p1 - s.p0)
    with np.errstate(invalid="ignore"):
        length = sweep * np.sign(s.bulge) * raw.radius
    arc = (raw.radius > SHORTEST) & (length > SHORTEST) & (np.abs(sweep) < 1.9 * np.pi)
    return np.asarray(np.where(raw.arc, arc, line))


def _assembled(raw: Raw, begin: Floats, end: Floats, sweep: Floats) -> tuple[Floats, Floats]:
    """Return vertices of all offset curves, and how many each piece brings: itself, its half, its corner."""
    halved = np.abs(sweep) > np.pi + 1e-9
    extra = np.array([0, 1, 2, 0])[raw.kind]
    count = 1 + halved + extra
    at = np.cumsum(count) - count
    out = np.zeros((int(count.sum()), 3))
    bulge = np.tan(np.where(halved, sweep / 2, sweep) / 4)
    out[at] = np.column_stack([begin, bulge])
    h = np.flatnonzero(halved)
    center, arm = raw.source.center[h], begin[h] - raw.source.center[h]
    c, s = np.cos(sweep[h] / 2), np.sin(sweep[h] / 2)
    middle = center + np.column_stack([arm[:, 0] * c - arm[:, 1] * s, arm[:, 0] * s + arm[:, 1] * c])
    out[at[h] + 1] = np.column_stack([middle, bulge[h]])
    corner = at + 1 + halved
    r = np.flatnonzero(raw.kind == ROUND)
    out[corner[r]] = np.column_stack([end[r], np.tan(raw.turn[r] / 4)])
    m = np.flatnonzero(raw.kind == MITRED)
    out[corner[m], :2] = end[m]
    out[corner[m] + 1, :2] = raw.corner[m]
    return out, count
