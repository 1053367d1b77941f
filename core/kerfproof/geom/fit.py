"""Smooth curves turned into lines and arcs that meet without corners, within micrometres.

`refit`, the way back from chains of short lines, lives beside this module and is named here as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.biarc import biarc
from kerfproof.geom.circles import best_circle, chain_distances, chord_distances, through_ends
from kerfproof.geom.curves import Curve
from kerfproof.geom.path import Floats, Path
from kerfproof.geom.refit import refit, refit_all
from kerfproof.geom.sampling import Sampled, sampled

__all__ = ["FIT_TOLERANCE", "Fitted", "fit_curve", "refit", "refit_all"]

FIT_TOLERANCE = 0.005
"""How far (mm) a fitted path may lie from the drawn curve."""

TURNED = 0.005
"""A piece taken for one line or arc may leave the curve's direction by this much (radians) where others join."""


class NoLength(ValueError):
    """All of a curve is one point."""


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A path for a curve, its worst distance from it (mm), and points (k, 2) on the curve itself."""

    path: Path
    error: float
    samples: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    """Vertices (n, 3) that stand for samples `first` to `last`."""

    vertices: Floats
    first: int
    last: int
    error: float


def fit_curve(curve: Curve, tolerance: float = FIT_TOLERANCE) -> Fitted:
    """Return the path of lines and arcs that stays within `tolerance` (mm) of `curve`.

    Corners of the curve are kept to the last bit and so are its ends. A curve that is a circle, an arc or a line
    within the tolerance becomes just that; all others become pairs of arcs with common tangents, each reaching as
    far as it may.

    Raises
    ------
    ValueError
        If the curve jumps or is not finite; `NoLength` if all of it is one point.
    """
    s = sampled(curve, tolerance / 10)
    reach = np.ptp(s.points, axis=0).max()
    if reach <= 1e-6:
        raise NoLength("the curve has no length")
    closed = bool(np.abs(s.points[0] - s.points[-1]).max() <= 1e-6)
    if closed and (found := _circle(s, tolerance)):
        return found
    pieces = _merged(_all_pieces(s, closed, tolerance), s, tolerance)
    vertices = np.vstack([p.vertices[:-1] for p in pieces] + [pieces[-1].vertices[-1:]])
    return Fitted(_path(vertices, closed), max(p.error for p in pieces), _thinned(s.points, len(vertices)))


def _circle(s: Sampled, tolerance: float) -> Fitted | None:
    """Return the full circle that the samples lie on, travelled the same way round, if they do."""
    circle = best_circle(s.points[:-1])
    if circle is None or circle[2] > tolerance:
        return None
    out = s.points - circle[0]
    turn = float(np.arctan2(_cross(out[:-1], out[1:]), (out[:-1] * out[1:]).sum(axis=1)).sum())
    if abs(abs(turn) - 2 * np.pi) > 1e-3:
        return None
    path = Path.circle(circle[0].tolist(), circle[1])
    return Fitted(path if turn > 0 else path.reversed(), circle[2], _thinned(s.points, 3))


def _all_pieces(s: Sampled, closed: bool, tolerance: float) -> list[_Piece]:
    """Return the pieces between corners and jumps of curvature, in order."""
    cuts = np.flatnonzero((s.corner | s.jump)[1:-1]) + 1
    ends = np.concatenate([[0], cuts, [len(s.points) - 1]])
    smooth_seam = closed and float(s.tangents_out[0] @ s.tangents_in[-1]) > 1 - 2e-6
    pieces: list[_Piece] = []
    for first, last in zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True):
        free = (
            bool(s.corner[first]) or (first == 0 and not smooth_seam),
            bool(s.corner[last]) or (last == len(s.points) - 1 and not smooth_seam),
        )
        pieces += _stretch(s, first, last, free, tolerance)
    return pieces


def _stretch(s: Sampled, first: int, last: int, free: tuple[bool, bool], tolerance: float) -> list[_Piece]:
    """Return the pieces of one smooth stretch; `free` says at which ends its direction may be left."""
    single = _single(s, first, last, free, tolerance)
    if single is not None:
        return [single]
    pieces = []
    at = first
    while at < last:
        piece = _longest(s, at, last, tolerance)
        pieces.append(_single(s, piece.first, piece.last, (False, False), tolerance, TURNED / 10) or piece)
        at = piece.last
    return pieces


def _single(
    s: Sampled, first: int, last: int, free: tuple[bool, bool], tolerance: float, turned: float = TURNED
) -> _Piece | None:
    """Return the one line or arc that stands for the samples, if there is one."""
    points = s.points[first : last + 1]
    p0, p1 = points[0], points[-1]
    arc = through_ends(points) if len(points) > 2 else None
    straight = float(chord_distances(points, p0, p1).max())
    chord = np.hypot(*(p1 - p0))
    if chord > 1e-6 and straight <= tolerance and not (arc and straight > 5e-4 and arc.error < straight / 10):
        line = np.array([(*p0, 0.0), (*p1, 0.0)])
        if _keeps_direction(line, s, first, last, free, turned):
            return _Piece(line, first, last, straight)
    if arc and arc.error <= tolerance and _keeps_direction(arc.vertices, s, first, last, free, turned):
        return _Piece(arc.vertices, first, last, arc.error)
    return None


def _keeps_direction(v: Floats, s: Sampled, first: int, last: int, free: tuple[bool, bool], turned: float) -> bool:
    """Return whether `v` leaves and arrives in the curve's directions, where these bind."""
    start = _turned(v[1, :2] - v[0, :2], -2 * np.arctan(v[0, 2]))
    end = _turned(v[-1, :2] - v[-2, :2], 2 * np.arctan(v[-2, 2]))
    limit = np.cos(turned)
    return bool((free[0] or start @ s.tangents_out[first] >= limit) and (free[1] or end @ s.tangents_in[last] >= limit))


def _turned(chord: Floats, angle: float) -> Floats:
    """Return the unit vector along `chord` turned by `angle`."""
    x, y = chord / np.hypot(chord[0], chord[1])
    c, s = np.cos(angle), np.sin(angle)
    return np.array([x * c - y * s, x * s + y * c])


def _longest(s: Sampled, first: int, last: int, tolerance: float) -> _Piece:
    """Return the pair of arcs from sample `first` that reaches farthest within the tolerance."""
    p0, p1 = s.points[first], s.points[first + 1]
    best = _pair(s, first, first + 1, tolerance) or _Piece(
        np.array([(*p0, 0.0), (*p1, 0.0)]), first, first + 1, tolerance / 10
    )
    step = 1
    while best.last + step <= last and (found := _pair(s, first, best.last + step, tolerance)):
        best, step = found, step * 2
    while step >= 1:
        if best.last + step <= last and (found := _pair(s, first, best.last + step, tolerance)):
            best = found
        step //= 2
    return best


def _pair(s: Sampled, first: int, last: int, tolerance: float) -> _Piece | None:
    """Return the pair of arcs for the samples, None when it strays from them."""
    vertices = biarc(s.points[first], s.tangents_out[first], s.points[last], s.tangents_in[last])
    if vertices is None:
        return None
    drawn = float(s.length[last] - s.length[first])
    angle = 2 * np.arctan(np.abs(vertices[:-1, 2]))
    chords = np.hypot(*np.diff(vertices[:, :2], axis=0).T)
    # An arc is longer than its chord by angle / sin(angle); a detour between two samples shows in the length.
    length = float((chords / np.sinc(angle / np.pi)).sum())
    if chords.min() <= 1e-7 or abs(length - drawn) > 0.002 * drawn + tolerance:
        return None
    between = s.points[first + 1 : last]
    error = float(chain_distances(between, vertices).max()) if len(between) else tolerance / 10
    return _Piece(vertices, first, last, error) if error <= tolerance else None


def _merged(pieces: list[_Piece], s: Sampled, tolerance: float) -> list[_Piece]:
    """Return the pieces with neighbours that are one line or one arc made one."""
    done: list[_Piece] = []
    for piece in pieces:
        if done and len(done[-1].vertices) == 2 and len(piece.vertices) == 2 and not s.corner[piece.first]:
            one = _single(s, done[-1].first, piece.last, (False, False), tolerance, TURNED / 5)
            if one is not None:
                done[-1] = one
                continue
        done.append(piece)
    return done


def _path(vertices: Floats, closed: bool) -> Path:
    """Return the path with flat arcs made lines."""
    chords = np.hypot(*np.diff(vertices[:, :2], axis=0).T)
    flat = np.append(np.abs(vertices[:-1, 2]) * chords / 2 < 1e-5, True)
    clean = np.where(flat[:, None] & np.array([False, False, True]), 0.0, vertices)
    return Path(clean[:-1], True) if closed else Path(clean, False)


def _thinned(points: Floats, pieces: int) -> Floats:
    """Return at least 16 of `points` for each piece, both ends among them."""
    wanted = 16 * max(pieces, 2)
    which = np.unique(np.linspace(0, len(points) - 1, min(wanted, len(points))).round().astype(np.int64))
    return points[which]


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
