"""Free spots on the page, so that numbers, flags and names don't cover each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from kerfproof.geom.counted import counted
from kerfproof.geom.path import Bundle, Floats, Path

Spot = tuple[float, float]
CELL = 32.0


class Spots:
    """What is taken on the page, in pixels; `left`, `top`, `right`, `bottom` bound where a spot may lie."""

    def __init__(self, left: float, top: float, right: float, bottom: float) -> None:
        self._bounds = left, top, right, bottom
        self._taken: dict[tuple[int, int], list[tuple[float, float, float]]] = defaultdict(list)

    def find(self, x: float, y: float, radius: float, turn_rad: float, reaches: Sequence[float]) -> Spot:
        """Return and take a spot at one of the `reaches` from (x, y), as near to the direction `turn_rad` as free.

        The angle is clockwise from the right, as pixels go. Where all is taken the first choice is given.
        """
        left, top, right, bottom = self._bounds
        choices = []
        for reach in reaches:
            for step in (0, 1, -1, 2, -2, 3, -3, 4):
                angle = turn_rad + step * np.pi / 4
                u = float(np.clip(x + reach * np.cos(angle), left + radius, right - radius))
                v = float(np.clip(y + reach * np.sin(angle), top + radius, bottom - radius))
                choices.append((u, v))
        spot = next((choice for choice in choices if self._is_free(*choice, radius)), choices[0])
        self.take(*spot, radius)
        return spot

    def find_row(self, width: float, radius: float, middles: Sequence[Spot], walls: Spots) -> Spot | None:
        """Return and take the first of the `middles` where a row of text fits, clear of `walls`; None if none does."""
        left, top, right, bottom = self._bounds
        for u, v in middles:
            if not (left + width / 2 <= u <= right - width / 2 and top + radius <= v <= bottom - radius):
                continue
            reach = max(0.0, width / 2 - radius)
            row = [float(u + off) for off in np.linspace(-reach, reach, 2 + int(2 * reach / radius))]
            if all(self._is_free(x, v, radius) and walls._is_free(x, v, radius) for x in row):
                for x in row:
                    self.take(x, v, radius)
                return u, v
        return None

    def take(self, x: float, y: float, radius: float) -> None:
        """Mark a disc as taken."""
        self._taken[int(x // CELL), int(y // CELL)].append((x, y, radius))

    def _is_free(self, x: float, y: float, radius: float) -> bool:
        column, row = int(x // CELL), int(y // CELL)
        return all(
            (x - a) ** 2 + (y - b) ** 2 >= (radius + r) ** 2
            for i in (column - 1, column, column + 1)
            for j in (row - 1, row, row + 1)
            for a, b, r in self._taken.get((i, j), ())
        )


def name_spot(paths: Sequence[Path], width: float, height: float) -> Spot | None:
    """Return the middle of a box of this size (mm) that lies in the metal between closed `paths`, None if none does.

    The spot nearest to the middle of the first path is taken, on a grid of 15 by 15.
    """
    x0, y0, x1, y1 = paths[0].bounds()
    if x1 - x0 < width or y1 - y0 < height:
        return None
    us = np.linspace(x0 + width / 2, x1 - width / 2, 15)
    vs = np.linspace(y0 + height / 2, y1 - height / 2, 15)
    grid = np.column_stack([np.repeat(us, 15), np.tile(vs, 15)])
    chords = _chords(paths, min(width, height) / 2)
    middles = chords.mean(axis=1)
    off = np.abs(middles[None] - grid[:, None])
    clear = ~((off[..., 0] < width / 2) & (off[..., 1] < height / 2)).any(axis=1)
    grid = grid[clear & _inside(chords, grid)]
    if not len(grid):
        return None
    away = np.hypot(*(grid - [(x0 + x1) / 2, (y0 + y1) / 2]).T)
    best = grid[int(np.argmin(np.round(away, 6)))]
    return float(best[0]), float(best[1])


def _chords(paths: Sequence[Path], longest: float) -> Floats:
    """Return chords (m, 2, 2) of the paths, none longer than `longest`; arcs are taken coarsely."""
    segments = Bundle.of(paths).segments()
    counts = np.maximum(np.ceil(segments.lengths() / max(longest, 1e-6)), 1).astype(np.int64)
    which, step = counted(counts)
    total = counts[which]
    return np.stack([segments.points(which, step / total), segments.points(which, (step + 1) / total)], axis=1)


def _inside(chords: Floats, points: Floats) -> Floats:
    """Return whether each point has an odd number of chords to its right."""
    a, b = chords[:, 0], chords[:, 1]
    x, y = points[:, :1], points[:, 1:]
    spans = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
    crossing = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / rise
    odd: Floats = (spans & (crossing > x)).sum(axis=1) % 2 == 1
    return odd
