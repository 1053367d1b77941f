"""What became of the contours of a drawing that was drawn anew: kept, moved, changed, gone, come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from kerfproof.geom.path import Floats
from kerfproof.parts.model.part import Feature, Parts
from kerfproof.sentence import Phrase, counted, mm_at, named, option, say

SAME = 0.01
"""Contours of one kind that agree to this (mm) in place and size are the same."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawingChanges:
    """Features of the older drawing and what they are in the newer one. `moved` are pairs with the way (mm)."""

    kept: tuple[tuple[Feature, Feature], ...]
    moved: tuple[tuple[Feature, Feature, tuple[float, float]], ...]
    gone: tuple[Feature, ...]
    come: tuple[Feature, ...]

    def lines(self) -> list[tuple[str, Phrase]]:
        """Return what has changed, as names and values."""
        rows: list[tuple[str, Phrase]] = [
            ("changed", f"{counted(len(self.kept), 'contour')} as {'it was' if len(self.kept) == 1 else 'they were'}")
        ]
        rows += [
            ("", say("moved: {label} by {at}", label=named(old.label), at=mm_at(dx, dy)))
            for old, _, (dx, dy) in self.moved[:10]
        ]
        rows += [
            ("", say("gone: {label} at {spot}", label=named(old.label), spot=_spot(old))) for old in self.gone[:10]
        ]
        rows += [("", say("new: {label} at {spot}", label=named(new.label), spot=_spot(new))) for new in self.come[:10]]
        more = sum(max(0, len(group) - 10) for group in (self.moved, self.gone, self.come))
        return [
            *rows,
            *([("", say("and {more} more; {json} tells all", more=more, json=option("json")))] if more else []),
        ]

    def record(self) -> dict[str, Any]:
        """Return the same as plain data."""

        def one(f: Feature) -> dict[str, Any]:
            return {"label": f.label, "kind": f.kind.value, "at": [round(v, 6) for v in middle(f).tolist()]}

        return {
            "kept": len(self.kept),
            "moved": [{**one(new), "by": [round(dx, 6), round(dy, 6)]} for _, new, (dx, dy) in self.moved],
            "gone": [one(f) for f in self.gone],
            "new": [one(f) for f in self.come],
        }


def changes(old: Parts, new: Parts) -> DrawingChanges:
    """Return which features of `old` are in `new`: at their place first, else one alone of the same shape."""
    left, free = list(old.features), list(new.features)
    kept = _paired(left, free, SAME)
    left = [f for f in left if all(f is not a for a, _ in kept)]
    free = [f for f in free if all(f is not b for _, b in kept)]
    moved = [(a, b, _way(a, b)) for a, b in _paired(left, free, np.inf)]
    return DrawingChanges(
        tuple(kept),
        tuple(moved),
        tuple(f for f in left if all(f is not a for a, _, _ in moved)),
        tuple(f for f in free if all(f is not b for _, b, _ in moved)),
    )


def _paired(old: Sequence[Feature], new: Sequence[Feature], reach: float) -> list[tuple[Feature, Feature]]:
    """Return pairs of one kind and shape, each feature once, the nearest first."""
    if not old or not new:
        return []
    a, b = _measures(old), _measures(new)
    like = np.array([[f.kind is g.kind for g in new] for f in old])
    like &= (np.abs(a[:, None, 2:] - b[None, :, 2:]) <= SAME * (1 + 0.001 * np.abs(a[:, None, 2:]))).all(axis=2)
    away = np.hypot(*(a[:, None, :2] - b[None, :, :2]).transpose(2, 0, 1))
    i, j = np.nonzero(like & (away <= reach))
    pairs, used_i, used_j = [], set(), set()
    for k in np.lexsort((j, i, np.round(away[i, j], 6))).tolist():
        if i[k] not in used_i and j[k] not in used_j:
            used_i.add(i[k])
            used_j.add(j[k])
            pairs.append((old[int(i[k])], new[int(j[k])]))
    return pairs


def _measures(features: Sequence[Feature]) -> Floats:
    """Return middle, width, height, length and the square root of the area of each (n, 6), mm."""
    rows = []
    for f in features:
        path = f.contour.path
        x0, y0, x1, y1 = path.bounds()
        rows.append(((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0, path.length(), abs(path.area()) ** 0.5))
    return np.array(rows)


def middle(feature: Feature) -> Floats:
    """Return the middle (2,) of a feature's box."""
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return np.array([(x0 + x1) / 2, (y0 + y1) / 2])


def _way(old: Feature, new: Feature) -> tuple[float, float]:
    dx, dy = (middle(new) - middle(old)).tolist()
    return dx, dy


def _spot(feature: Feature) -> str:
    x, y = middle(feature).tolist()
    return f"{x:.2f}, {y:.2f}"
