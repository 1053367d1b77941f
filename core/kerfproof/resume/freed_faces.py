"""What earlier cuts have freed though no single one of them closes: two runs that meet, or one that all but closes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bundle, Floats, Path, Segments
from kerfproof.geom.swept import enclosed

WEB = 1.5
"""Kerfs are taken so many times as wide: a web of less than half a kerf breaks or melts (common
practice, no source)."""
MOST_SEGMENTS = 20_000
"""With more segments than this nothing is enclosed: polygons would take too long."""


def loose_faces(lines: Sequence[Path], halves: Sequence[float]) -> Bundle:
    """Return what the kerfs of open paths enclose, alone or together; `halves` are half their kerfs."""
    s = Bundle.of(list(lines)).segments()
    if not len(s) or len(s) > MOST_SEGMENTS:
        return Bundle.of([])
    return Bundle.of(list(enclosed(s, WEB * np.array(halves, dtype=np.float64)[s.owner])))


def around(line: Path, half: float, lines: Sequence[Path], halves: Sequence[float]) -> tuple[list[Path], list[float]]:
    """Return those of the paths that may free metal together with `line`, which comes last: their boxes hang together.

    Boxes are those of the kerfs, widened as in `loose_faces`.
    """
    boxes = np.array([_box(path, WEB * h) for path, h in zip(lines, halves, strict=True)]).reshape(-1, 4)
    taken = np.zeros(len(boxes), dtype=np.bool_)
    reach = _box(line, WEB * half)
    while True:
        meets = (boxes[:, :2] <= reach[2:]).all(axis=1) & (boxes[:, 2:] >= reach[:2]).all(axis=1)
        if not (meets & ~taken).any():
            break
        taken |= meets
        reach = np.concatenate(
            [np.minimum(reach[:2], boxes[taken, :2].min(axis=0)), np.maximum(reach[2:], boxes[taken, 2:].max(axis=0))]
        )
    which = np.flatnonzero(taken).tolist()
    return [*(lines[k] for k in which), line], [*(halves[k] for k in which), half]


def touches(faces: Bundle, place: Floats, half: float) -> bool:
    """Return whether the kerf at a place (2,) of a path borders on one of the loose faces."""
    if not len(faces):
        return False
    away, _ = nearest(place[None], faces.segments(), WEB * half + 0.2)
    return bool(np.isfinite(away[0]))


def _box(path: Path, by: float) -> Floats:
    x0, y0, x1, y1 = path.bounds()
    return np.array([x0 - by, y0 - by, x1 + by, y1 + by])


def nothing() -> Segments:
    """Return no segments."""
    return Segments.between(np.empty((0, 2)), np.empty((0, 2)), np.empty(0))
