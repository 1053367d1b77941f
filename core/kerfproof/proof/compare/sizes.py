"""What closed cuts come out as, beside what is drawn: names with sizes, other sizes, other places, cuts too many."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.box import Box
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path
from kerfproof.geom.region import nesting, path_boxes
from kerfproof.proof.compare.match import Match
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.sentence import Label, Phrase, Sentence, mm, mm_size, named, say

ROUND = 0.02
"""What is as wide as high and has the area of a circle within this share is called round."""
SAME = 0.05
"""Sizes and places nearer than this are not told as others, mm."""
ALIKE = 3.0
"""A closed cut more than so many times as large or as small is another feature."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A feature by its box (mm) and whether it is an outline, else a hole; `circle` if it is round."""

    outline: bool
    box: Box
    circle: bool

    @property
    def size(self) -> Floats:
        """Width and height."""
        return np.array([self.box[2] - self.box[0], self.box[3] - self.box[1]])

    @property
    def article(self) -> str:
        """``an`` outline, ``a`` hole."""
        return "an" if self.outline else "a"

    @property
    def middle(self) -> Floats:
        """Where its middle lies."""
        return np.array([self.box[0] + self.box[2], self.box[1] + self.box[3]]) / 2

    @property
    def name(self) -> Label | Sentence:
        """What to call it: ``hole D20``, ``outline of 100 x 60 mm``."""
        w, h = self.size
        kind = "outline" if self.outline else "hole"
        return (
            named(f"{kind} D{w:.4g}") if self.circle else say("{kind} of {size}", kind=kind, size=mm_size(w, h, ".4g"))
        )

    def beside(self, drawn: Shape) -> Phrase:
        """Return how it differs from what is drawn, empty where it does not."""
        resized = bool((np.abs(self.size - drawn.size) > SAME).any())
        off = float(np.hypot(*(self.middle - drawn.middle)))
        place = say("{off} off its place", off=mm(off, ".2f")) if off > SAME else ""
        if not resized:
            return say("the {name} is cut {place}", name=drawn.name, place=place) if place else ""
        sized = say("the {name} comes out as {other}", name=drawn.name, other=self.name)
        return say("{sized}, {place}", sized=sized, place=place) if place else sized


def _shape(path: Path, outline: bool, grown: float) -> Shape:
    """Return a closed path as a feature whose edge lies `grown` outside it."""
    x0, y0, x1, y1 = path.bounds()
    circle = abs(path.area()) / max(np.pi * (x1 - x0) * (y1 - y0) / 4, 1e-12)
    is_round = abs((x1 - x0) - (y1 - y0)) < SAME and abs(circle - 1) < ROUND
    return Shape(outline, (x0 - grown, y0 - grown, x1 + grown, y1 + grown), is_round)


def drawn_as(kept: Kept, contour: int) -> Shape:
    """Return a drawn contour as a feature."""
    return _shape(kept.contours[contour].path, bool(kept.depth[contour] % 2 == 0), 0.0)


def cut_as(path: TorchPath, ring: int, outline: bool) -> Shape:
    """Return what a closed cut leaves: a piece half a kerf inside it, or a hole half a kerf outside."""
    half = float(path.half_kerf[path.ring_first[ring]])
    return _shape(path.rings.path(ring), outline, -half if outline else half)


def differing(kept: Kept, path: TorchPath, found: Match) -> Ints:
    """Return for each contour (n,) that nothing frees the closed cut that was meant for it, -1 where there is none.

    It lies about the middle of the contour and is of its order of size. What differs by the whole kerf alone is on the
    wrong side and no case of this, nor is what differs in parts of its edge alone.
    """
    other = np.full(len(found.ring), -1, dtype=np.int64)
    loose = np.flatnonzero(~found.free)
    rings = np.setdiff1d(np.arange(len(path.rings)), found.ring)
    if not len(loose) or not len(rings):
        return other
    boxes, half = path_boxes(path.rings)[rings], path.half_kerf[path.ring_first[rings]]
    free = np.ones(len(rings), dtype=np.bool_)
    for contour in loose.tolist():
        drawn = drawn_as(kept, contour)
        grown = (-half if drawn.outline else half)[:, None]
        left = np.column_stack([boxes[:, :2] - grown, boxes[:, 2:] + grown])
        fits = free & _about(left, drawn)
        if not fits.any():
            continue
        best = int(np.where(fits, np.abs(left - np.array(drawn.box)).sum(axis=1), np.inf).argmin())
        larger = (left[best, 2:] - left[best, :2] - drawn.size) * (-1 if drawn.outline else 1)
        if found.wrong[contour] == rings[best] and (np.abs(larger - 4 * half[best]) < half[best]).all():
            continue  # a kerf on each side
        if not cut_as(path, int(rings[best]), drawn.outline).beside(drawn):
            continue
        other[contour], free[best] = rings[best], False
    return other


def _about(left: Floats, drawn: Shape) -> Bools:
    """Return which boxes lie about the middle of a drawn feature and are of its order of size."""
    size = left[:, 2:] - left[:, :2]
    off = np.abs((left[:, :2] + left[:, 2:]) / 2 - drawn.middle).max(axis=1)
    ratio = np.maximum(size, 1e-9) / drawn.size
    alike = (ratio < ALIKE).all(axis=1) & (ratio > 1 / ALIKE).all(axis=1)
    return np.asarray(alike & (off < drawn.size.min() / 2))


@dataclass(frozen=True, slots=True)
class Surplus:
    """A closed cut in scrap that is not drawn: its ring, what it leaves, and the rings of the holes cut in that."""

    ring: int
    shape: Shape
    holes: Ints


def surplus_pieces(path: TorchPath, rings: Ints) -> list[Surplus]:
    """Return the pieces that closed cuts in scrap leave, each with its holes; of what the kerf eats up the hole."""
    depth, parent = nesting(Bundle.of(path.rings.path(ring) for ring in rings.tolist()))
    out = []
    for k in np.flatnonzero(depth % 2 == 0).tolist():
        ring = int(rings[k])
        piece = cut_as(path, ring, True)
        shape = piece if piece.size.min() > 0 else cut_as(path, ring, False)
        out.append(Surplus(ring, shape, rings[parent == k]))
    return out
