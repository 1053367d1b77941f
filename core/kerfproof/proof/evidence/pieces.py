"""What comes free, told without a drawing: each piece with its size, its holes and how it lies on the slats."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.chords import longest_chords
from kerfproof.geom.path import Bundle, Floats, Path
from kerfproof.geom.region import nesting, path_areas, path_boxes
from kerfproof.geom.swept import hull
from kerfproof.proof.evidence.balance_on_slats import rests
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.free_pieces import FreePiece, PieceOpening
from kerfproof.shop.profile import Machine

ROUND = 0.02
"""A hole whose area is that of a circle as wide and as high within this share is called round."""


def pieces_of(e: Evidence) -> tuple[FreePiece, ...]:
    """Return the pieces that come free, in order of the cuts; slugs of holes are openings of what holds them.

    Sizes are those of the metal: the path less half a kerf on each side, holes the path and half a kerf more.
    """
    cuts = _Cuts(e)
    if not len(cuts.paths):
        return ()
    depth, parent = nesting(cuts.paths)
    out = []
    order = np.lexsort((cuts.run, depth))
    for ring in order[depth[order] % 2 == 0].tolist():
        holes = np.flatnonzero(parent == ring)
        out.append((int(cuts.run[ring]), cuts.piece(ring, holes.tolist())))
    out.sort(key=lambda found: found[0])
    return tuple(
        FreePiece(number, p.line, p.width, p.height, p.at, p.area, p.openings, p.rests)
        for number, (_, p) in enumerate(out, 1)
    )


class _Cuts:
    """Closed cuts and enclosed regions of a program as one bundle."""

    def __init__(self, e: Evidence) -> None:
        rings, faces = list(e.path.rings), list(e.stock.faces)
        self.e = e
        self.paths = Bundle.of([*rings, *faces])
        self.run = np.concatenate([e.path.ring_run, e.stock.face_run])
        half = e.path.half_kerf[e.path.ring_first] if len(rings) else np.zeros(0)
        # A face is the metal itself; a ring is the torch path half a kerf outside it.
        self.half = np.concatenate([half, np.zeros(len(faces))])
        self.is_face = np.concatenate([np.zeros(len(rings), np.bool_), np.ones(len(faces), np.bool_)])
        if len(self.paths):
            self.boxes = path_boxes(self.paths)
            self.area = np.abs(path_areas(self.paths))
            s = self.paths.segments()
            self.length = np.bincount(s.owner, s.lengths(), minlength=len(self.paths))

    def piece(self, ring: int, holes: list[int]) -> FreePiece:
        h = float(self.half[ring])
        x0, y0, x1, y1 = self.boxes[ring]
        openings = tuple(self.opening(hole) for hole in holes)
        # The piece's outline grown by half a kerf is the ring (Steiner): A = A' - P' h + pi h2.
        area = float(self.area[ring] - self.length[ring] * h + np.pi * h * h)
        area -= sum(self._hole_area(hole) for hole in holes)
        return FreePiece(
            0,
            self.e.runs[int(self.run[ring])].light_line,
            float(x1 - x0 - 2 * h),
            float(y1 - y0 - 2 * h),
            (float(x0 + x1) / 2, float(y0 + y1) / 2),
            area,
            openings,
            rests(self.e.machine, self.paths.path(ring), [self.paths.path(hole) for hole in holes]),
        )

    def opening(self, ring: int) -> PieceOpening:
        h = self._reach(ring)
        x0, y0, x1, y1 = self.boxes[ring]
        w, t = float(x1 - x0 + 2 * h), float(y1 - y0 + 2 * h)
        circle = np.pi * (x1 - x0) * (y1 - y0) / 4
        is_round = abs(w - t) < 0.01 and abs(self.area[ring] / circle - 1) < ROUND
        return PieceOpening(w, t, (float(x0 + x1) / 2, float(y0 + y1) / 2), w if is_round else None)

    def _reach(self, ring: int) -> float:
        """Return how far the hole lies outside this path: half a kerf of a ring, a whole one of its slug."""
        if self.is_face[ring]:
            return 2 * float(self.e.path.half_kerf.max())
        return float(self.half[ring])

    def _hole_area(self, ring: int) -> float:
        h = self._reach(ring)
        return float(self.area[ring] + self.length[ring] * h + np.pi * h * h)


TILT_SINE = float(np.sin(np.pi / 4))
"""A piece that tips between slats stands at up to 45 degrees (statics; common practice, no source)."""


def rise_of(machine: Machine, outline: Path) -> float:
    """Return how high over the plate a loose piece may stand, mm; 0 if it rests on the slats."""
    corners = hull(outline.flattened(0.1))
    chord = float(np.hypot(*(corners[:, None] - corners[None, :]).transpose(2, 0, 1)).max())
    return 0.0 if rests(machine, outline, []) else chord * TILT_SINE


def most_rise_of(paths: Bundle) -> Floats:
    """Return how high (k,) pieces with these outlines may stand at most: nearer to `rise_of` than their boxes tell."""
    return longest_chords(paths) * TILT_SINE


def most_rise(boxes: Floats) -> Floats:
    """Return how high (k,) pieces with these boxes (k, 4) may stand at most: `rise_of` without looking at them."""
    return np.asarray(np.hypot(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]) * TILT_SINE)
