"""Pieces cut in scrap beside drawn parts: whether one is a drawn part once more, nearly one, or something else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.geom.along import split_along
from kerfproof.geom.closest import closest_points
from kerfproof.geom.distance import nearest
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bundle, Floats, Ints, Path, Segments
from kerfproof.geom.region import path_boxes
from kerfproof.proof.compare.edges import finished_edges
from kerfproof.proof.compare.measure import most_left
from kerfproof.proof.evidence.kept_metal import Kept, kept_of
from kerfproof.proof.evidence.runs import ON_SLIT, TorchPath
from kerfproof.proof.evidence.sweep import sweep

NEARLY = 0.02
"""A piece whose edge lies within this share of its size of a drawn one, or within a kerf, is meant to be that."""
SMALL = 0.25
"""But never farther off than this share of its smaller side."""
PLACES = 360
"""Places on an outline, or directions round it, by which a drawn outline is laid over a cut."""
STEPS = 25
EXACT = 1e-3


@dataclass(frozen=True, slots=True)
class Copy:
    """A drawn outline laid over a closed cut: how far the edge of the piece is off, and the worst of piece and holes.

    `contour` is the drawn outline. All mm.
    """

    contour: int
    edge: float
    worst: float


class DrawnCopies:
    """The drawn parts, ready to be laid over closed cuts."""

    def __init__(self, kept: Kept, path: TorchPath, slits: Segments | None) -> None:
        self.kept, self.path, self.slits = kept, path, slits
        self.boxes = path_boxes(path.rings)
        self._known: dict[tuple[object, ...], Copy | None] = {}

    def of(self, ring: int, holes: Ints) -> Copy | None:
        """Return the drawn part that the piece in a closed cut was meant to be, None if it is like none of them.

        `holes` are the closed cuts in the piece.
        """
        every = [ring, *holes.tolist()]
        low = self.boxes[ring, :2]
        key = tuple(np.round(self.path.rings.path(k).vertices - [*low, 0.0], 4).tobytes() for k in every)
        if key not in self._known:
            self._known[key] = self._found(ring, holes)
        return self._known[key]

    def _found(self, ring: int, holes: Ints) -> Copy | None:
        half = float(self.path.half_kerf[self.path.ring_first[ring]])
        around = self.path.rings.path(ring)
        best: Copy | None = None
        for outline in np.flatnonzero(self.kept.is_outline()).tolist():
            drawn = self.kept.bundle.path(outline)
            limit = _limit(drawn, half)
            grown = abs(drawn.area()) + drawn.length() * half + np.pi * half * half  # Steiner
            if abs(grown - abs(around.area())) > 1.1 * limit * drawn.length():
                continue
            inside = np.flatnonzero(self.kept.parent == outline)
            marks = [_middle(self.kept.bundle.path(hole)) for hole in inside.tolist()]
            cuts = [_middle(self.path.rings.path(hole)) for hole in holes.tolist()]
            for matrix, shift in _laid(drawn, around, half, limit, _arms(marks), _arms(cuts)):
                found = self._compared(outline, inside, ring, matrix, shift)
                if found.edge <= limit and (best is None or found.worst < best.worst):
                    best = found
                if best is not None and best.worst <= EXACT:
                    return best
        return best

    def _compared(self, outline: int, holes: Ints, ring: int, matrix: Floats, shift: Floats) -> Copy:
        """Return how a drawn part compares with what is cut where it was laid: by the same means as drawn parts."""
        which = [outline, *holes.tolist()]
        contours = (replace(self.kept.contours[k], samples=None) for k in which)
        kept = kept_of(tuple(replace(c, path=c.path.transformed(matrix, shift)) for c in contours))
        slits = self._slits(outline, matrix, shift)
        path, own = _cut_there(self.path, self.boxes[ring], ring, slits)
        swept = sweep(kept, path, slits)
        edges = finished_edges(kept, path, swept)
        left = np.where(edges.fair, 0.0, np.minimum(edges.left, most_left(path)))
        rim = kept.edges.owner[edges.edge] == 0
        edge = max(float(swept.depth[own].max()), float(left[rim].max(initial=0.0)), 0.0)
        return Copy(outline, edge, max(edge, float(swept.depth.max()), float(left.max(initial=0.0))))

    def _slits(self, outline: int, matrix: Floats, shift: Floats) -> Segments | None:
        """Return the slits in a drawn part, moved with it."""
        if self.slits is None:
            return None
        s = self.slits
        k, holder = self.kept.region.containers(s.points(np.arange(len(s)), np.full(len(s), 0.5)))
        k = k[holder == outline]
        if not len(k):
            return None
        bulge = s.bulge[k] * np.sign(np.linalg.det(matrix))
        return Segments.between(s.p0[k] @ matrix.T + shift, s.p1[k] @ matrix.T + shift, bulge, s.owner[k])


def _limit(drawn: Path, half: float) -> float:
    """Return how far the edge of a piece may be off that still is meant to be a drawn one."""
    x0, y0, x1, y1 = drawn.bounds()
    return min(max(2 * half, NEARLY * max(x1 - x0, y1 - y0)), SMALL * min(x1 - x0, y1 - y0))


def _cut_there(path: TorchPath, box: Floats, ring: int, slits: Segments | None) -> tuple[TorchPath, Ints]:
    """Return the runs that cut within a box, cut along slits, and which of their segments are those of a ring."""
    reach = float(path.half_kerf.max(initial=0.0))
    _, near = path.index.pairs(box[None, :], reach)
    rows = np.flatnonzero(np.isin(path.segments.owner, np.unique(path.segments.owner[near])))
    s, piece = path.segments.take(rows), np.arange(len(rows) + 1)
    if slits is not None:
        s, piece = split_along(s, slits, ON_SLIT)
    begin = piece[np.searchsorted(rows, path.ring_first[ring])]
    stop = piece[np.searchsorted(rows, path.ring_stop[ring])]
    none = np.empty(0, dtype=np.int64)
    half = np.repeat(path.half_kerf[rows], np.diff(piece))
    length = np.zeros(len(s))
    first = np.searchsorted(s.owner, np.append(np.unique(s.owner), s.owner[-1] + 1)).astype(np.int64)
    out = TorchPath(s, half, length, length, first, none, none, Bundle.of([]), Index(s.boxes()))
    return out, np.arange(begin, stop)


def _middle(path: Path) -> Floats:
    x0, y0, x1, y1 = path.bounds()
    return np.array([x0 + x1, y0 + y1]) / 2


def _arms(places: list[Floats]) -> Floats:
    return np.array(places, dtype=np.float64).reshape(-1, 2)


def _laid(
    drawn: Path, around: Path, half: float, limit: float, marks: Floats, cuts: Floats
) -> Iterator[tuple[Floats, Floats]]:
    """Yield turns, or turns of the mirror image, and shifts that lay a drawn outline half a kerf inside a cut.

    `marks` (k, 2) are the middles of what is drawn in it, `cuts` of what is cut in it: they tell how a round one lies.
    """
    points, goals = _spread(drawn), _spread(around)
    middle, goal = points.mean(axis=0), goals.mean(axis=0)
    s = around.segments()
    index = Index(s.boxes())
    for mirror in (np.eye(2), np.diag([-1.0, 1.0])):
        own, arms = (points - middle) @ mirror.T, (marks - middle) @ mirror.T
        for angle in _turns(own, goals - goal, arms, cuts - goal, 2 * half + limit):
            turn, shift = _turned(angle), goal.copy()
            for _ in range(STEPS):
                laid = own @ turn.T + shift
                away, which = nearest(laid, s, np.inf, index)
                unit = (closest_points(laid, s, which) - laid) / np.maximum(away, 1e-12)[:, None]
                short = away - half
                # Where no round kerf gets to, it must not pull.
                weight = 1.0 / (1.0 + (short / max(EXACT, 3 * float(np.median(np.abs(short))))) ** 2)
                arm = laid - shift
                spin = unit[:, 1] * arm[:, 0] - unit[:, 0] * arm[:, 1]
                rows = np.column_stack([unit, spin]) * weight[:, None]
                dx, dy, by = np.linalg.lstsq(rows, short * weight, rcond=1e-6)[0].tolist()
                shift, turn = shift + np.array([dx, dy]), _turned(by) @ turn
                if max(abs(dx), abs(dy), abs(by) * 100) < 1e-6:
                    break
            if float(np.median(np.abs(short))) <= limit:
                matrix = turn @ mirror
                yield matrix, shift - matrix @ middle


def _spread(path: Path) -> Floats:
    """Return places that lie evenly along a closed path."""
    s = path.segments()
    lengths = s.lengths()
    ends = np.cumsum(lengths)
    at = (np.arange(PLACES) + 0.5) / PLACES * ends[-1]
    which = np.minimum(np.searchsorted(ends, at), len(s) - 1)
    return s.points(which, np.clip((at - ends[which] + lengths[which]) / lengths[which], 0.0, 1.0))


def _turned(angle: float) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s], [s, c]])


def _turns(own: Floats, goal: Floats, marks: Floats, cuts: Floats, reach: float) -> list[float]:
    """Return angles by which one outline may lie as the other, both about their middles, the likely ones first."""
    a, b = _outreach(own), _outreach(goal)
    fit = np.fft.irfft(np.fft.rfft(b) * np.conj(np.fft.rfft(a)), PLACES)
    peaks = np.flatnonzero((fit >= np.roll(fit, 1)) & (fit > np.roll(fit, -1)))
    out = [0.0, *(2 * np.pi * peaks[np.argsort(-fit[peaks], kind="stable")][:4] / PLACES).tolist()]
    if not len(marks) or not len(cuts):
        return out
    far = marks[int(np.hypot(*marks.T).argmax())]
    alike = np.abs(np.hypot(*cuts.T) - np.hypot(*far)) <= reach
    if np.hypot(*far) > reach and np.ptp(b) < reach:  # a round piece
        out += [float(np.arctan2(y, x) - np.arctan2(far[1], far[0])) for x, y in cuts[alike][:12]]
    return out


def _outreach(points: Floats) -> Floats:
    """Return how far points about a middle reach in each direction (`PLACES`,)."""
    angle = np.arctan2(points[:, 1], points[:, 0])
    order = np.argsort(angle)
    every = np.linspace(-np.pi, np.pi, PLACES, endpoint=False)
    return np.interp(every, angle[order], np.hypot(*points[order].T), period=2 * np.pi)
