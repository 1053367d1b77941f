"""Qt paths with their boxes, so that only what is seen is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtGui import QPainterPath

from kerfproof.box import Box
from kerfproof.geom.path import Bundle, Floats, Ints, Path
from kerfproof_app.window.plate.scene.qt_paths import painter_paths


def touching(boxes: Floats, view: Box) -> Ints:
    """Return the rows of the boxes (n, 4) that touch another."""
    x0, y0, x1, y1 = view
    return np.flatnonzero((boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0))


def around(x: float, y: float, reach: float) -> Box:
    """Return the box round a place."""
    return x - reach, y - reach, x + reach, y + reach


@dataclass(frozen=True, slots=True, eq=False)
class PathBatch:
    """Qt paths with their boxes (n, 4) in mm and what each belongs to (n,): a cut, a part, a feature."""

    paths: tuple[QPainterPath, ...]
    boxes: Floats
    owner: Ints
    width: Floats = field(default_factory=lambda: np.empty(0))
    """True width in mm (n,) of kerfs; empty for what has none."""
    tone: Ints = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    """Step of the time ramp (n,); empty for what is not of a time."""

    def seen(self, view: Box) -> list[int]:
        """Return the numbers of the paths whose boxes touch a view."""
        found: list[int] = touching(self.boxes, view).tolist()
        return found

    def __len__(self) -> int:
        return len(self.paths)


EMPTY = PathBatch((), np.empty((0, 4)), np.empty(0, dtype=np.int64))


def batch_of(paths: Sequence[Path], owner: Ints | None = None) -> PathBatch:
    """Return each path by itself; without `owner` each belongs to its own number."""
    if not paths:
        return EMPTY
    n = len(paths)
    return PathBatch(
        tuple(painter_paths(paths, np.arange(n), n)), _boxes(paths), np.arange(n) if owner is None else owner
    )


def grouped(groups: Sequence[Sequence[Path]]) -> PathBatch:
    """Return one Qt path per group of paths."""
    paths = [path for group in groups for path in group]
    if not paths:
        return EMPTY
    n = len(groups)
    of = np.repeat(np.arange(n), [len(group) for group in groups])
    return PathBatch(tuple(painter_paths(paths, of, n)), joined_boxes(_boxes(paths), of, n), np.arange(n))


def pieces_of(groups: Sequence[Sequence[Path | None]], widths: Sequence[float]) -> PathBatch:
    """Return one Qt path per group that holds a path; `owner` is the number of the group."""
    kept = [(k, [p for p in group if p is not None]) for k, group in enumerate(groups)]
    kept = [(k, group) for k, group in kept if group]
    if not kept:
        return EMPTY
    batch = grouped([group for _, group in kept])
    numbers = np.array([k for k, _ in kept], dtype=np.int64)
    width = np.array(widths, dtype=np.float64)[numbers]
    grown = batch.boxes + np.column_stack([-width, -width, width, width]) / 2
    return PathBatch(batch.paths, grown, numbers, width)


def _boxes(paths: Sequence[Path]) -> Floats:
    s = Bundle.of(paths).segments()
    return joined_boxes(s.boxes(), s.owner, len(paths))


def joined_boxes(boxes: Floats, of: Ints, count: int) -> Floats:
    """Return the boxes round all boxes of each group; `of` says in rising order to which each belongs."""
    first = np.searchsorted(of, np.arange(count))
    low = np.minimum.reduceat(boxes[:, :2], first)
    high = np.maximum.reduceat(boxes[:, 2:], first)
    return np.column_stack([low, high])
