"""Drawings laid down sheet by sheet: which drawn part lies on which sheet, told by what is cut on each.

Parts on two sheets may lie over each other, as they do where each sheet is cut from its own corner. They are taken
apart first, so that neither is a hole in the other, and each sheet gets those that its own cuts follow.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.distance import nearest
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments
from kerfproof.geom.region import Region, containers
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare.align import HALF, NEAR, SHARES
from kerfproof.proof.evidence.kept_metal import Kept, kept_of
from kerfproof.proof.evidence.runs import TorchPath

ALIKE = 1.0
"""Outlines whose boxes agree within this (mm) lie over each other, whatever their points say."""
DEEP = 1e-3
"""Points deeper in metal than this lie in it."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawnPart:
    """A drawn outline, then its holes, and its slits, or a slit that lies in none: numbers among all that is drawn."""

    contours: tuple[int, ...]
    slits: tuple[int, ...]


def parts_of(
    drawn: Sequence[Contour], slits: Sequence[Contour], counts: Sequence[tuple[int, int]]
) -> tuple[DrawnPart, ...]:
    """Return the parts of drawings; `counts` says how many contours and slits each has, none: all are one drawing."""
    out: list[DrawnPart] = []
    at, slit = 0, 0
    for closed, lines in counts or [(len(drawn), len(slits))]:
        out += _parts(tuple(drawn[at : at + closed]), tuple(slits[slit : slit + lines]), at, slit)
        at, slit = at + closed, slit + lines
    return tuple(out)


def _parts(drawn: tuple[Contour, ...], slits: tuple[Contour, ...], first: int, first_slit: int) -> list[DrawnPart]:
    if not drawn:
        return [DrawnPart((), (first_slit + k,)) for k in range(len(slits))]
    kept = kept_of(drawn)
    outline_of = np.where(kept.is_outline(), np.arange(len(drawn)), kept.parent)
    home = _homes(kept, outline_of, slits)
    out = []
    for outline in np.flatnonzero(kept.is_outline()).tolist():
        holes = np.flatnonzero((outline_of == outline) & (np.arange(len(drawn)) != outline))
        lines = np.flatnonzero(home == outline) + first_slit
        out.append(DrawnPart((outline + first, *(holes + first).tolist()), tuple(lines.tolist())))
    return out + [DrawnPart((), (first_slit + k,)) for k in np.flatnonzero(home < 0).tolist()]


def _homes(kept: Kept, outline_of: Ints, slits: tuple[Contour, ...]) -> Ints:
    """Return of each slit the outline of the part that it lies on, -1 where it lies on none."""
    out = np.full(len(slits), -1, dtype=np.int64)
    if slits:
        points = np.array([slit.path.start for slit in slits])
        point, contour = containers(kept.bundle, points)
        order = np.argsort(kept.depth[contour], kind="stable")  # the innermost is written last
        out[point[order]] = outline_of[contour[order]]
    return out


def on_sheets(
    parts: Sequence[DrawnPart],
    drawn: Sequence[Contour],
    slits: Sequence[Contour],
    path: TorchPath,
    sheet_of: Ints,
    over: Mapping[int, set[int]],
) -> Bools:
    """Return which of the parts are cut on which sheet (sheets, parts); `sheet_of` says the sheet of each run.

    A part is cut where the torch follows one of its contours. Of some that lie over each other a sheet holds the one
    of which it follows the most, less what it does not follow; of such that are alike in this one that lies nowhere.
    """
    sheets = int(sheet_of.max(initial=0)) + 1
    follows, gain = np.zeros((sheets, len(parts)), dtype=np.bool_), np.zeros((sheets, len(parts)))
    closed, lines = _samples(drawn), _samples(slits)
    for sheet in range(sheets):
        here = np.flatnonzero((sheet_of[path.segments.owner] == sheet) & ~path.leads())
        target, half = path.segments.take(here), path.half_kerf[here]
        right, on_line = _followed(closed, target, half, 1.0), _followed(lines, target, half, 0.0)
        for k, part in enumerate(parts):
            own = [*(right[c] for c in part.contours), *(on_line[s] for s in part.slits)]
            follows[sheet, k] = any(own)
            gain[sheet, k] = 2 * sum(own) - len(own)
    out = follows.copy()
    out[:, list(over)] = False
    # What one sheet follows best is given first, so that of two alike the other one is left for another sheet.
    pairs = [(sheet, k) for sheet in range(sheets) for k in over if follows[sheet, k]]
    while pairs:
        sheet, k = max(pairs, key=lambda p: (gain[p], not out[:, p[1]].any(), -p[0], -p[1]))
        out[sheet, k] = True
        pairs = [p for p in pairs if p != (sheet, k) and not (p[0] == sheet and p[1] in over[k])]
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Samples:
    """Points along paths: whose each is."""

    points: Floats
    owner: Ints
    count: int


def _samples(contours: Sequence[Contour]) -> _Samples:
    if not contours:
        return _Samples(np.empty((0, 2)), np.empty(0, dtype=np.int64), 0)
    s = Bundle.of([contour.path for contour in contours]).segments()
    which = np.repeat(np.arange(len(s)), len(SHARES))
    return _Samples(s.points(which, np.tile(SHARES, len(s))), s.owner[which], len(contours))


def _followed(samples: _Samples, target: Segments, half: Floats, kerfs: float) -> Bools:
    """Return which paths the torch follows along half of their samples, half a kerf away times `kerfs`."""
    if not samples.count or not len(target):
        return np.zeros(samples.count, dtype=np.bool_)
    reach = kerfs * float(half.max()) + NEAR
    away, found = nearest(samples.points, target, reach, Index(target.boxes()))
    good = np.abs(away - kerfs * half[np.maximum(found, 0)]) <= NEAR
    total = np.bincount(samples.owner, minlength=samples.count)
    right = np.bincount(samples.owner, good, minlength=samples.count)
    return np.asarray(right >= HALF * np.maximum(total, 1))


def lying_over(parts: Sequence[DrawnPart], drawn: Sequence[Contour]) -> dict[int, set[int]]:
    """Return the parts that lie over others, and over which, so that no sheet holds both."""
    solid = [k for k, part in enumerate(parts) if part.contours]
    bundles = [Bundle.of([drawn[c].path for c in parts[k].contours]) for k in solid]
    boxes = np.array([bundle.path(0).bounds() for bundle in bundles]).reshape(-1, 4)
    out: dict[int, set[int]] = {}
    if not solid:
        return out
    first, second = Index(boxes).pairs(boxes)
    for a, b in zip(first.tolist(), second.tolist(), strict=True):
        if a != b and (np.abs(boxes[a] - boxes[b]).max() <= ALIKE or _reaches_into(bundles[b], bundles[a])):
            out.setdefault(solid[a], set()).add(solid[b])
            out.setdefault(solid[b], set()).add(solid[a])
    return out


def _reaches_into(one: Bundle, metal: Bundle) -> bool:
    """Return whether the contours of a part reach into the metal of another."""
    s = one.segments()
    points = s.points(np.repeat(np.arange(len(s)), 3), np.tile((0.0, 0.3, 0.6), len(s)))
    points = points[Region(metal).inside(points)]
    return bool(len(points)) and float(nearest(points, metal.segments(), np.inf)[0].max()) > DEEP


def borne_out(lies: Bools, over: Mapping[int, set[int]], doubted: Sequence[bool]) -> list[bool]:
    """Return which of the stops before sheet 1 and on bring another sheet though the cuts alone leave a doubt.

    One does where what is cut behind it lies over what was cut before it: no sheet holds both. `lies` says which part
    lies on which sheet.
    """
    held = set(np.flatnonzero(lies[0]).tolist())
    out = []
    for sheet, doubt in enumerate(doubted, 1):
        own = set(np.flatnonzero(lies[sheet]).tolist())
        apart = any(over.get(k, set()) & held for k in own)
        out.append(doubt and apart)
        held = own if apart or not doubt else held | own
    return out
