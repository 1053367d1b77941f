"""Middles of stencils: what drops out of a letter like O, and bridges that hold it.

A middle is an outline without features of its own that lies in a hole. Two bridges of plate across the cut, in one line
through its middle, make two holes of the one around it: each is the part of the gap on one side of a straight band,
bounded by pieces of the drawn curves and by the band's edges, all exact.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.crossing import CROSS, crossings, share_along
from kerfproof.geom.path import Bundle, Floats, Path
from kerfproof.parts.model.contour import Contour
from kerfproof.parts.model.part import Feature, Part, Parts
from kerfproof.sentence import mm, option, say

LEAST_WIDTH = 3.0
"""No bridge is narrower than this (mm) or twice the plate's thickness (common practice, no source)."""
TRIED = (0.0, 0.3, -0.3, 0.7, -0.7)
"""So far aside (mm) a band is tried that meets a corner or runs along an edge."""
DIRECTIONS = (0.0, 90.0, 45.0, 135.0)
"""Degrees."""
LEAST_MIDDLE = 5.0
"""A smaller middle (mm) goes with a hole that is drilled; no bridge could hold it."""
CENTERED = 0.5
"""How far the middle of a letter lies off the middle of the hole around it, as a share of its size, at most."""


def bridge_width(thickness: float) -> float:
    """Return how wide (mm) a bridge is in plate of a thickness (mm)."""
    return max(2 * thickness, LEAST_WIDTH)


@dataclass(frozen=True, slots=True, eq=False)
class Bridged:
    """Closed contours with bridges drawn in, and how many middles these hold."""

    closed: tuple[Contour, ...]
    held: int


def middles(parts: Parts) -> list[tuple[Feature, list[Part]]]:
    """Return each hole with middles in it, and these."""
    around = {hole.number: hole for part in parts.parts for hole in part.holes}
    found: dict[int, list[Part]] = {}
    for part in parts.parts:
        if part.inside in around and not (part.holes or part.slits or part.marks):
            assert part.inside is not None
            found.setdefault(part.inside, []).append(part)
    return [(around[number], inner) for number, inner in found.items() if _is_letter(around[number], inner)]


def _is_letter(hole: Feature, inner: Sequence[Part]) -> bool:
    """Return whether the middles lie about where those of a letter do: plain parts nested in a window lie anywhere."""
    x0, y0, x1, y1 = hole.contour.path.bounds()
    boxes = np.array([part.outline.contour.path.bounds() for part in inner])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    off = np.abs((low + high) / 2 - [(x0 + x1) / 2, (y0 + y1) / 2])
    return bool((high - low).max() >= LEAST_MIDDLE and (off <= CENTERED * (high - low) + 1e-9).all())


def middles_told(parts: Parts) -> Iterator[Finding]:
    """Give the one warning that middles fall out."""
    found = [part for _, inner in middles(parts) for part in inner]
    if not found:
        return
    x0, y0, x1, y1 = found[0].outline.contour.path.bounds()
    many = "1 piece" if len(found) == 1 else f"{len(found)} pieces"
    what = f"{many} inside a cut-out, like the middle of an O, {'falls' if len(found) == 1 else 'fall'} out of the part"
    advice = say(
        "{bridges} leaves two bridges to hold each; if it is a part that you want, go on", bridges=option("bridges")
    )
    yield Finding("stencil-middle", Severity.WARNING, what, advice, x=(x0 + x1) / 2, y=(y0 + y1) / 2)


def bridges_told(held: int, width: float) -> Finding:
    """Return the note that middles are held."""
    many = "1 middle is" if held == 1 else f"{held} middles are"
    what = say("{many} held by two bridges each, {width} wide", many=many, width=mm(width, "g"))
    return Finding("bridges", Severity.NOTE, what, "cut them by hand where the middle is to come out")


def bridged(closed: Sequence[Contour], parts: Parts, width: float) -> Bridged:
    """Return closed contours with bridges of a width (mm) across each cut-out that has middles, where a band fits."""
    gone: set[int] = set()
    made: list[Contour] = []
    held = 0
    for hole, inner in middles(parts):
        own = [hole.contour, *(part.outline.contour for part in inner)]
        pieces = _pieces([contour.path for contour in own], width)
        if pieces is None:
            continue
        gone |= {id(contour) for contour in own}
        held += len(inner)
        handles = tuple(dict.fromkeys(handle for contour in own for handle in contour.handles))
        made += [replace(hole.contour, path=piece, handles=handles, samples=None) for piece in pieces]
    return Bridged((*(c for c in closed if id(c) not in gone), *made), held)


def _pieces(paths: Sequence[Path], width: float) -> list[Path] | None:
    """Return the holes that are left of a cut-out beside a band over its middles, the way with the shortest bridges."""
    boxes = np.array([path.bounds() for path in paths[1:]])
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    best: tuple[float, list[Path]] | None = None
    for degrees in DIRECTIONS:
        angle = np.radians(degrees)
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        turned = [path.transformed(turn) for path in paths]
        across = (middle @ turn.T)[:, 0]
        if np.ptp(across) > width / 4:  # one straight band must hold all of them
            continue
        for aside in TRIED:
            at = float(across.mean()) + aside
            left, right = _beside(turned, at - width / 2, -1), _beside(turned, at + width / 2, 1)
            if left is None or right is None:
                continue
            length = left[0] + right[0]
            if best is None or length < best[0] - 1e-6:
                best = length, [piece.transformed(turn.T) for piece in (*left[1], *right[1])]
            break
    return None if best is None else best[1]


def _beside(paths: Sequence[Path], x: float, side: int) -> tuple[float, list[Path]] | None:
    """Return what lies left (-1) or right (1) of an upright line of the gap between the first path and the rest.

    The length of the line within the gap comes with it; None where the line meets a path otherwise than across.
    """
    low = min(path.bounds()[1] for path in paths) - 1.0
    high = max(path.bounds()[3] for path in paths) + 1.0
    ways = [
        path if (path.area() > 0) == (k == 0) else path.reversed() for k, path in enumerate(paths)
    ]  # gap on the left
    s = Bundle.of([*ways, Path.polyline([(x, low), (x, high)])]).segments()
    met = crossings(s, owner_pairs="other")
    mine = s.owner[met.j] == len(ways)
    if (met.kind[mine] != CROSS).any() or (s.owner[met.i][mine] == len(ways)).any():
        return None
    i, at = met.i[mine], met.at[mine]
    if len(i) < 4 or len(i) % 2 or len(set(s.owner[i].tolist())) != len(ways):
        return None
    before = np.concatenate([[0.0], np.cumsum(s.lengths())])
    first = np.searchsorted(s.owner, np.arange(len(ways) + 1))
    along = before[i] - before[first[s.owner[i]]] + share_along(s, i, at) * s.lengths()[i]
    rank = np.empty(len(i), dtype=np.int64)
    rank[np.argsort(at[:, 1])] = np.arange(len(i))  # from below; the gap lies between 0 and 1, 2 and 3 ...
    inside = float(np.diff(np.sort(at[:, 1]))[::2].sum())
    runs: dict[int, tuple[int, Path]] = {}
    for owner, way in enumerate(ways):
        own = np.flatnonzero(s.owner[i] == owner)
        own = own[np.argsort(along[own])]
        for k, n in zip(own.tolist(), np.roll(own, -1).tolist(), strict=True):
            stop = along[n] if along[n] > along[k] else along[n] + way.length()
            run = way.part(float(along[k]), float(stop))
            if side * (_middle_of(run)[0] - x) > 0:
                runs[int(rank[k])] = (int(rank[n]), run)
    return inside, _loops(runs)


def _loops(runs: dict[int, tuple[int, Path]]) -> list[Path]:
    """Return the loops that runs make whose ends go straight to the next begin within the gap, by their ranks."""
    out = []
    while runs:
        begin = next(iter(runs))
        rows: list[Floats] = []
        at = begin
        while at in runs:
            end, run = runs.pop(at)
            rows.append(run.vertices)
            at = end ^ 1
        out.append(Path(np.vstack(rows), True))
    return out


def _middle_of(run: Path) -> Floats:
    return run.part(0.0, run.length() / 2).end
