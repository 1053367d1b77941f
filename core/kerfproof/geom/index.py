"""The one search tree: which boxes lie near which."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from kerfproof.geom.grid import FEW, Grid, few_pairs
from kerfproof.geom.path import Floats, Ints


class Index:
    """A search over boxes (m, 4) of xmin, ymin, xmax, ymax in mm.

    A grid of plain arrays where the boxes lie evenly, as on a sheet; a tree where they don't. Both are made when
    first asked: a tree needs an object for each box, which costs more to keep than the search itself.
    """

    __slots__ = ("_grid", "_tree", "boxes")

    def __init__(self, boxes: Floats) -> None:
        self.boxes = np.asarray(boxes, dtype=np.float64).reshape(-1, 4)
        self._grid: Grid | None = None
        self._tree: shapely.STRtree | None = None

    def __len__(self) -> int:
        return len(self.boxes)

    def pairs(self, boxes: Floats, reach: ArrayLike = 0.0) -> tuple[Ints, Ints]:
        """Return (i, j): all boxes `i` of `boxes` that come within `reach` of the indexed box `j`.

        Distances are measured along x and y apart (so a little more than a circle). `reach` is one number or
        one per asked box. Sorted by i, then j.
        """
        asked = np.asarray(boxes, dtype=np.float64).reshape(-1, 4)
        if not len(asked) or not len(self):
            return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
        wider = np.broadcast_to(np.asarray(reach, dtype=np.float64), (len(asked),))
        grown = np.column_stack([asked[:, :2] - wider[:, None], asked[:, 2:] + wider[:, None]])
        if len(asked) * len(self) <= FEW:
            return few_pairs(grown, self.boxes)
        if self._grid is None:
            self._grid = Grid(self.boxes)
        pairs = self._grid.pairs(grown)
        return self._tree_pairs(grown) if pairs is None else pairs

    def _tree_pairs(self, grown: Floats) -> tuple[Ints, Ints]:
        found = self._searched().query(_diagonals(grown))
        key = np.sort(found[0].astype(np.int64) * len(self) + found[1])
        return key // len(self), key % len(self)

    def _searched(self) -> shapely.STRtree:
        if self._tree is None:
            self._tree = shapely.STRtree(_diagonals(self.boxes))
        return self._tree

    def some_near(self, points: Floats, reach: float) -> Ints:
        """Return for each point (k, 2) one indexed box near it, -1 where none lies within `reach`.

        Which of several near ones it is says nothing: a first guess from which to look closer.
        """
        out = np.full(len(points), -1, dtype=np.int64)
        if len(points) and len(self):
            limit = None if np.isinf(reach) else max(reach, 1e-12)
            found = self._searched().query_nearest(shapely.points(points), max_distance=limit, all_matches=False)
            out[found[0]] = found[1]
        return out


def _diagonals(boxes: Floats) -> NDArray[np.object_]:
    """Return lines with the same envelopes as the boxes: quicker to make than boxes."""
    return np.asarray(shapely.linestrings(boxes.reshape(-1, 2, 2)))


def box_pairs(boxes_a: Floats, boxes_b: Floats, reach: ArrayLike = 0.0) -> tuple[Ints, Ints]:
    """Return (i, j): all boxes i of `boxes_a` within `reach` of box j of `boxes_b`, sorted by i, then j."""
    return Index(boxes_b).pairs(boxes_a, reach)


def point_boxes(points: Floats) -> Floats:
    """Return the boxes (k, 4) without extent at points (k, 2)."""
    return np.column_stack([points, points])


def own_pairs(
    boxes_a: Floats, owner_a: Ints, boxes_b: Floats, owner_b: Ints, reach: ArrayLike = 0.0
) -> tuple[Ints, Ints]:
    """Return `box_pairs` of boxes with the same owner only, however many owners lie on top of each other."""
    if not len(boxes_a) or not len(boxes_b):
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    n = int(max(owner_a.max(), owner_b.max())) + 1
    left, right = np.full(n, np.inf), np.full(n, -np.inf)
    for boxes, owner in ((boxes_a, owner_a), (boxes_b, owner_b)):
        np.minimum.at(left, owner, boxes[:, 0])
        np.maximum.at(right, owner, boxes[:, 2])
    wide = np.where(np.isfinite(left), right - left, 0.0) + 2 * float(np.max(reach)) + 1.0
    # Each owner gets a lane of its own; what the far lanes lose in digits is added to the reach.
    shift = np.cumsum(wide) - wide - np.where(np.isfinite(left), left, 0.0)
    lost = 4 * np.spacing(np.abs(shift).max() + wide.max())
    lanes = [
        boxes + shift[owner][:, None] * np.array([1.0, 0, 1, 0])
        for boxes, owner in ((boxes_a, owner_a), (boxes_b, owner_b))
    ]
    i, j = box_pairs(lanes[0], lanes[1], np.asarray(reach, dtype=np.float64) + lost)
    same = owner_a[i] == owner_b[j]
    return i[same], j[same]
