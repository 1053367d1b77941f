"""Where the drawing lies in the program: turned, mirrored, shifted or scaled as a whole, once or several times.

A wrong placement becomes one finding instead of a thousand gouges; where nobody said how a program by others lies,
its place is found here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.distance import nearest
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments
from kerfproof.geom.region import path_boxes
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.placed import Placing
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.sentence import mm_at, say

MOST_SAMPLES = 2000
NEAR = 0.05
"""A sample agrees when its distance from the torch path is half a kerf within this."""
SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
"""Where each drawn line and arc is sampled."""
HALF = 0.5
"""A contour is followed when the torch runs right along this share of it."""
OTHER_KERF = 0.99
"""What a place with another kerf than the assumed one counts, so that it never goes before the same with that one."""
WIDEST = 6.0
"""No torch has a kerf of more than this, mm."""
SURE, LIKELY = 0.9, 0.5
"""Share of contours that must be followed: to say that a cut lies wrong, and to find where a drawing lies."""
STRAIGHT = frozenset(("", "shifted", "turned"))
"""Ways of lying that are right where nobody said how the drawing lies."""
ALIKE = 0.005
"""Fits nearer than this are the same: samples at corners and leads differ."""
UNLIKELY = {"": 0.0, "shifted": 0.0, "turned": ALIKE}
"""What is taken off a fit, so that of some that are alike the one as drawn is taken, mirrored the last."""
MOST_ANCHORS = 4
"""So many contours are tried as the one that leads to the place."""
FEW_PLACES, MOST_PLACES = 5, 60
"""So many closed cuts are tried as the drawing's outline."""

_TURN = np.array([[0.0, -1.0], [1.0, 0.0]])
_MIRROR = np.array([[-1.0, 0.0], [0.0, 1.0]])
INCH = 25.4

_WAYS: tuple[tuple[str, str, Floats], ...] = (
    ("shifted", "shifted", np.eye(2)),
    ("turned", "turned by 180 degrees", _TURN @ _TURN),
    ("turned", "turned by 90 degrees counter-clockwise", _TURN),
    ("turned", "turned by 90 degrees clockwise", _TURN @ _TURN @ _TURN),
    ("mirrored", "mirrored (left and right exchanged)", _MIRROR),
    ("mirrored", "mirrored (top and bottom exchanged)", _TURN @ _TURN @ _MIRROR),
    ("mirrored", "mirrored and turned by 90 degrees", _TURN @ _MIRROR),
    ("mirrored", "mirrored and turned by 90 degrees", _MIRROR @ _TURN),
    ("wrong-scale", "25.4 times too large: millimetres and inches are mixed up", np.eye(2) * INCH),
    ("wrong-scale", "25.4 times too small: millimetres and inches are mixed up", np.eye(2) / INCH),
)


def misplacement(kept: Kept, path: TorchPath) -> Placing | None:
    """Return how the whole cut lies if it fits the drawing after a turn, mirror, shift or scale, else None."""
    if not len(path.rings):
        return None
    best = max(_tried(_Fit(kept, path), FEW_PLACES), key=lambda t: t.score, default=None)
    if best is None or best.score < SURE or not best.placing.rule:
        return None
    return best.placing


def candidates(kept: Kept, path: TorchPath, loose: Bundle, sheets: Ints) -> tuple[Candidate, ...]:
    """Return every place where a drawing may lie, and of the mirrored and scaled ones the best; the best first.

    `loose` is all that comes free: the rings of the path, and what open runs enclose together; `sheets` says on which
    sheet each of them lies, then each run. Where the largest contour was not cut in one of these (it hangs on tabs),
    another one leads to the place.
    """
    if not len(loose):
        return ()
    fit = _Fit(kept, path, loose, sheets)
    tried: list[_Tried] = []
    for contour in fit.by_size[:MOST_ANCHORS]:
        fit.anchor_on(contour)
        tried = sorted((t for t in _tried(fit, MOST_PLACES) if t.score >= LIKELY), key=lambda t: -t.score)
        if tried:
            break
    wrong = [t for t in tried if t.placing.rule not in STRAIGHT][:1]
    return tuple(
        Candidate(
            t.ring,
            t.placing,
            t.gain - UNLIKELY.get(t.placing.rule, 2 * ALIKE),
            frozenset(fit.followed(t.placing, int(sheets[t.ring]), t.half) | {t.ring}),
            int(sheets[t.ring]),
        )
        for t in tried
        if t.placing.rule in STRAIGHT or t in wrong
    )


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A place where a drawing may lie: the closed cut that would be its largest contour, and how well it fits.

    `gain` is how many of its contours the torch follows there less how many it does not; `follows` are the cuts that
    follow one of its contours on the same `sheet`: rings by number, then what open runs enclose, then open runs.
    """

    ring: int
    placing: Placing
    gain: float
    follows: frozenset[int]
    sheet: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class _Tried:
    """A place that was tried: the closed cut that would be the largest contour, and how well the drawing fits."""

    ring: int
    placing: Placing
    score: float
    gain: float
    half: float | None = None
    """Half the kerf that its path was made for, where it is another than the assumed one."""


def _tried(fit: _Fit, most: int) -> Iterator[_Tried]:
    """Yield all places worth a look, each way of lying in turn, with their scores."""
    for rule, how, matrix in _WAYS:
        for ring, shift in fit.shifts(matrix, most):
            # How the drawing's own middle moves tells more than where its zero goes.
            by = matrix @ fit.middle + shift - fit.middle
            here = rule == "shifted" and np.abs(by).max() < NEAR
            told = say("{how} by {way}", how=how, way=mm_at(by[0], by[1], ".3f")) if rule == "shifted" else how
            placing = Placing("" if here else rule, "" if here else told, matrix, shift)
            yield _Tried(ring, placing, *fit.score(matrix, shift))
            half = fit.grown(ring, matrix)
            if half is not None:
                score, gain = fit.score(matrix, shift, half)
                yield _Tried(ring, placing, OTHER_KERF * score, gain + OTHER_KERF - 1, half)


@dataclass(frozen=True, slots=True, eq=False)
class _Target:
    """What is cut on one sheet, leads left out: segments, the cut that each belongs to, and half its kerf."""

    segments: Segments
    ring: Ints
    half: Floats
    index: Index


class _Fit:
    """The drawing's samples and the closed cuts of the program, ready to be tried on each other.

    The same place on two sheets is two: each sheet's cuts are looked at by themselves.
    """

    def __init__(self, kept: Kept, path: TorchPath, loose: Bundle | None = None, sheets: Ints | None = None) -> None:
        edges = kept.edges
        which = np.repeat(np.arange(len(edges)), len(SHARES))
        points = edges.points(which, np.tile(SHARES, len(edges)))
        step = max(1, len(points) // MOST_SAMPLES)
        self.points, self.owner = points[::step], edges.owner[which][::step]
        closed = path.rings if loose is None else loose
        is_open = ~np.isin(path.segments.owner, path.ring_run) & (loose is not None)
        ring = np.where(is_open, len(closed) + path.segments.owner, path.ring_of())
        seen = ring >= 0  # not the leads
        self.half = path.half_kerf[seen]
        sheet = np.zeros(len(ring), dtype=np.int64) if sheets is None else sheets[ring]
        self.targets: dict[int, _Target] = {}
        for number in np.unique(sheet[seen]).tolist():
            which = np.flatnonzero(seen & (sheet == number))
            segments = path.segments.take(which)
            self.targets[number] = _Target(segments, ring[which], path.half_kerf[which], Index(segments.boxes()))
        self.rings = path_boxes(closed)
        boxes = edges.boxes()
        self.middle = (boxes[:, :2].min(axis=0) + boxes[:, 2:].max(axis=0)) / 2
        self.outer = path_boxes(kept.bundle)
        size = np.hypot(*(self.outer[:, 2:] - self.outer[:, :2]).T)
        self.by_size = np.lexsort((np.arange(len(size)), -np.round(size, 6))).tolist()
        self.largest = int(self.by_size[0])
        self.anchor = self.outer[self.largest]

    def anchor_on(self, contour: int) -> None:
        """Let another contour than the largest be the one that is looked for among the closed cuts."""
        self.anchor = self.outer[contour]

    def shifts(self, matrix: Floats, most: int) -> Iterator[tuple[int, Floats]]:
        """Yield candidates: the whole on the whole, then the largest contour on each cut of its size."""
        size, middle = self._anchor(matrix)
        centers = (self.rings[:, :2] + self.rings[:, 2:]) / 2
        low, high = self.rings[:, :2].min(axis=0), self.rings[:, 2:].max(axis=0)
        whole = (low + high) / 2 - matrix @ self.middle
        as_drawn = [np.zeros(2)] if np.array_equal(matrix, np.eye(2)) else []
        for shift in (*as_drawn, whole):
            # By middle and size: a hole in the middle of its outline has the same middle.
            low, high = middle + shift - size / 2, middle + shift + size / 2
            yield int(np.abs(self.rings - np.concatenate([low, high])).sum(axis=1).argmin()), shift
        grown = self.rings[:, 2:] - self.rings[:, :2] - size
        kerf = 2 * float(self.half.max(initial=0.0)) * max(1.0, _scale(matrix))
        like = np.abs(grown).max(axis=1) <= kerf + 2 * NEAR
        like |= (np.abs(grown[:, 0] - grown[:, 1]) <= 2 * NEAR) & (np.abs(grown).max(axis=1) <= WIDEST)
        for ring in np.flatnonzero(like)[:most].tolist():
            yield ring, centers[ring] - middle

    def _anchor(self, matrix: Floats) -> tuple[Floats, Floats]:
        """Return size and middle of the largest contour as it lies after `matrix`."""
        corners = self.anchor.reshape(2, 2) @ matrix.T
        return np.abs(corners[1] - corners[0]), (corners[0] + corners[1]) / 2

    def grown(self, ring: int, matrix: Floats) -> float | None:
        """Return half the kerf by which a closed cut is larger than the largest contour; None if it is the assumed.

        Both grow alike in X and Y, whatever their shape; a cut along the edge itself has none.
        """
        box = self.rings[ring]
        by = (box[2:] - box[:2] - self._anchor(matrix)[0]) / 2
        half = float(by.mean())
        if abs(_scale(matrix) - 1) > 1e-6 or abs(by[0] - by[1]) > NEAR or not -NEAR <= half <= WIDEST / 2:
            return None
        return None if np.abs(self.half - half).min() <= NEAR / 2 else max(half, 0.0)

    def score(self, matrix: Floats, shift: Floats, other: float | None = None) -> tuple[float, float]:
        """Return the share of contours that the torch follows half a kerf away when the drawing lies so, 0 to 1.

        Besides it how many it follows less how many it does not.

        Or the share of closed cuts that follow a contour, if that is more; a hundredth tells the share of the edge.
        Without the largest contour it is 0. Of a whole program that was scaled the kerf is scaled, too. `other` is
        half another kerf than the assumed one.
        """
        scale = _scale(matrix)
        reach = 2 * max(float(self.half.max()), other or 0.0) * max(scale, 1.0) + NEAR
        factors = (1.0,) if abs(scale - 1) < 1e-6 else (1.0, scale)
        points = self.points @ matrix.T + shift
        good = np.zeros((len(factors), len(points)), dtype=np.bool_)
        for target in self.targets.values():
            away, found = nearest(points, target.segments, reach, target.index)
            half = target.half[np.maximum(found, 0)] if other is None else np.full(len(away), other)
            for k, f in enumerate(factors):
                good[k] |= np.abs(away - half * f) <= NEAR * max(f, 1.0)
        return max(self._share(g) for g in good)

    def followed(self, placing: Placing, sheet: int, other: float | None = None) -> set[int]:
        """Return the cuts of one sheet that follow a contour when the drawing lies so (not scaled)."""
        matrix, shift, target = placing.matrix, placing.shift, self.targets.get(sheet)
        if target is None:
            return set()
        ring = target.ring
        reach = max(float(target.half.max(initial=0.0)), other or 0.0) + NEAR
        away, found = nearest(self.points @ matrix.T + shift, target.segments, reach, target.index)
        half = target.half[np.maximum(found, 0)] if other is None else np.full(len(away), other)
        good = np.abs(away - half) <= NEAR
        n = int(self.owner.max()) + 1
        total, right = np.bincount(self.owner, minlength=n), np.bincount(self.owner, good, minlength=n)
        follows = right >= HALF * np.maximum(total, 1)
        return set(np.unique(ring[found[good & follows[self.owner]]]).tolist())

    def _share(self, good: Bools) -> tuple[float, float]:
        n = int(self.owner.max()) + 1
        total, right = np.bincount(self.owner, minlength=n), np.bincount(self.owner, good, minlength=n)
        follows = right >= HALF * np.maximum(total, 1)
        if not follows[self.largest]:
            return 0.0, 0.0
        # Where a program leaves out most of the drawing, such as its small holes, all its cuts still follow it.
        share = max(0.99 * follows[total > 0].mean(), 0.98 * min(follows.sum() / len(self.rings), 1.0))
        sampled, edge = total > 0, 0.01 * float(good.mean())
        return float(share) + edge, float(2 * follows[sampled].sum() - sampled.sum()) + edge


def _scale(matrix: Floats) -> float:
    return float(np.sqrt(abs(np.linalg.det(matrix))))
