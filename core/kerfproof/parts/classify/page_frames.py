"""Page frames and title blocks: what is drawn for the paper, not for the torch.

A frame round everything would make each part a hole and each hole a part, so it is looked for before joining.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.box import Box
from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bools, Bundle, Floats, Path, Segments
from kerfproof.geom.region import nesting, path_boxes
from kerfproof.parts.classify.choices import PageFrames
from kerfproof.parts.classify.paper_sizes import sheet_of
from kerfproof.parts.classify.roles import RolePattern, chosen_role, folded
from kerfproof.parts.model.round_hole import diameters_of
from kerfproof.sentence import Phrase, mm_size, option, say

ON = 0.05
"""A line this near (mm) to the side of a frame lies on it."""
WIDEST_MARGIN = 30.0
"""A rectangle within a frame is a border only if it lies nowhere farther inside (mm), or 15 % of the short side."""

OUTLINES = ("outline", "outer", "contour", "kontur", "umriss", "umriß", "aussen", "außen", "profil", "cut", "schnitt")
"""In the names of layers on which outlines of parts lie (English and German)."""
HOLES = (
    "hole", "inner", "inside", "interior", "cutout", "window", "pocket", "slot",
    "loch", "löcher", "bohr", "innen", "ausschnitt", "fenster", "langl",
)  # fmt: skip
"""In the names of layers on which holes lie (English and German)."""
FILLED = 0.3
"""Parts side by side fill at least so much of their plate."""

_TEXTS = frozenset({"TEXT", "MTEXT", "ATTRIB", "ATTDEF", "DIMENSION", "LEADER", "MULTILEADER", "ACAD_TABLE"})


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """Rectangles round all else: their boxes from the outside in, which entities are the frame, and the border."""

    boxes: tuple[Box, ...]
    mask: Bools
    border: Bools | None

    @property
    def both(self) -> Bools:
        """Which entities are frame or border."""
        return self.mask if self.border is None else self.mask | self.border


Loops = Callable[[Sequence[Entity]], list[Path]]
"""Joins entities and returns the closed paths."""


def without_page(
    entities: Sequence[Entity], drawing: Drawing, rules: Sequence[RolePattern], choice: PageFrames, loops: Loops
) -> tuple[list[Entity], list[Finding]]:
    """Return the entities to be cut without the page frame and title block round them, and what was decided.

    What a rule of the person gives a role is never taken for a frame.
    """
    every = list(entities)
    if choice is PageFrames.CUT or len(every) < 2 or drawing.units.mm_per_unit is None:
        return every, []
    frame = _frame(every, np.array([chosen_role(e, rules) is None for e in every]))
    if frame is None:
        return every, []
    if frame.border is not None and not _is_border(every, frame, loops):
        frame = _Frame(frame.boxes, frame.mask, None)
        plain = True
    else:
        plain = False
    rest = _without_title(every, frame)
    inner = [e for e, keep in zip(every, rest, strict=True) if keep]
    if not inner:
        return every, []
    found = _decide(every, frame, inner, drawing, choice, loops, plain)
    if found is None:
        return every, []
    finding, leave_out = found
    return (inner if leave_out else every), [finding]


def _is_border(every: Sequence[Entity], frame: _Frame, loops: Loops) -> bool:
    """Return whether the inner rectangle is a border of the page, not the outline of the one part on it.

    It is when parts with holes are left without it, when other lines hang on it (a title block), or when it lies on
    the layer of the frame and nothing else does.
    """
    both = frame.both
    gone = ~_without_title(every, frame)
    inner = [e for e, out in zip(every, gone, strict=True) if not out]
    if (gone & ~both).any() or _depth(loops(inner)) >= 1:
        return True
    layers = {e.layer for e, on in zip(every, both, strict=True) if on}
    return len(layers) == 1 and bool(inner) and layers.isdisjoint(e.layer for e in inner)


def _depth(paths: Sequence[Path]) -> int:
    """Return how deep closed paths are nested: 0 side by side, -1 when there are none."""
    return int(nesting(Bundle.of(paths))[0].max()) if paths else -1


def _look_like_parts(paths: Sequence[Path]) -> tuple[bool, bool]:
    """Return whether closed paths look like parts with holes, and whether they may be some.

    Two that hold others are hardly windows of a plate in which other parts lie; one that holds several may be.
    A circle within a circle about one centre is a countersink or a thread more often than a washer.
    """
    if not paths:
        return False, False
    bundle = Bundle.of(paths)
    depth, parent = nesting(bundle)
    inner = np.flatnonzero(depth == 1)
    sizes, boxes = diameters_of(bundle), path_boxes(bundle)
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    bored = np.array([sizes[i] is not None and sizes[parent[i]] is not None for i in inner], dtype=np.bool_)
    bored &= np.abs(middle[inner] - middle[parent[inner]]).max(axis=1, initial=0.0) <= ON
    held = parent[inner[~bored]]
    return len(np.unique(held)) > 1, len(held) > 1


def _may_be_parts(box: Box, paths: Sequence[Path], inner: Sequence[Entity]) -> tuple[bool, bool]:
    """Return whether paths side by side in a rectangle of another layer look like parts, and whether they may be some.

    Round ones and those on a layer that is named for holes are holes, and one alone makes the rectangle a frame.
    """
    if len(paths) < 2 or any(d is not None for d in diameters_of(Bundle.of(paths))):
        return False, False
    if any(word in folded(e.layer) for e in inner for word in HOLES):
        return False, False
    share = sum(abs(p.area()) for p in paths) / ((box[2] - box[0]) * (box[3] - box[1]))
    return share >= FILLED, True


def _decide(
    every: Sequence[Entity],
    frame: _Frame,
    inner: Sequence[Entity],
    drawing: Drawing,
    choice: PageFrames,
    loops: Loops,
    plain: bool,
) -> tuple[Finding, bool] | None:
    """Return the finding on a frame and whether it is left out, None if it is none.

    `plain` says that a second rectangle lies within the first that may be a border or a part.
    """
    paths = loops(inner)
    depth = _depth(paths)
    several, one = _look_like_parts(paths)
    sheet = next((name for box in frame.boxes if (name := sheet_of(box))), "")
    texts = any(s.kind in _TEXTS for s in drawing.skipped)
    layers = {e.layer for e, on in zip(every, frame.mask, strict=True) if on}
    apart = layers.isdisjoint(e.layer for e in inner)
    twice = frame.border is not None
    certain = not plain and depth >= 0 and ((bool(sheet) and (depth >= 1 or twice)) or (twice and texts and depth >= 1))
    x0, y0, x1, y1 = frame.boxes[0]
    whole = say(
        "the rectangle of {size}{paper} on layer {layers} round everything",
        size=mm_size(x1 - x0, y1 - y0, ".1f"),
        paper=f" ({sheet} paper)" if sheet else "",
        layers=", ".join(sorted(layers)),
    )
    handle = next(e.handle for e, on_frame in zip(every, frame.mask, strict=True) if on_frame)

    def said(rule: str, severity: Severity, message: Phrase, advice: Phrase) -> Finding:
        return Finding(rule, severity, message, advice, x=x0, y=y0, handle=handle)

    if choice is PageFrames.IGNORE:
        what = say("Not cut: {name}, with what hangs on it, as asked", name=whole)
        return said("page-frame", Severity.NOTE, what, ""), True
    if certain:
        what = say("Not cut: {name}, with what hangs on it, is taken for a page frame", name=whole)
        return said(
            "page-frame", Severity.NOTE, what, say("if it is an outline: {page} cut", page=option("page"))
        ), True
    own = apart and not any(_is_outline(layer) for layer in layers)
    beside, may_be = _may_be_parts(frame.boxes[0], paths, inner) if own and depth == 0 else (False, False)
    if (sheet and ((texts and depth == 0) or plain)) or several or (own and depth >= 1) or beside:
        what = say("{name} is a page frame or the outline of a plate: nobody can tell", name=whole)
        return said(
            "page-frame-doubt", Severity.ERROR, what, say("say {page} ignore or {page} cut", page=option("page"))
        ), False
    if sheet or (apart and depth >= 1) or one or may_be or depth >= 2:
        what = say("{name} is cut as an outline; it may be a page frame", name=whole)
        return said(
            "page-frame-doubt", Severity.WARNING, what, say("if it is one: {page} ignore", page=option("page"))
        ), False
    return None


def _is_outline(layer: str) -> bool:
    return any(word in folded(layer) for word in OUTLINES)


def _frame(entities: Sequence[Entity], free: Bools) -> _Frame | None:
    """Return the rectangles that hold all else, None if there is none; only `free` entities may belong to them."""
    segments = Bundle.of([e.path for e in entities if e.path is not None]).segments()
    outer = _rectangle(segments, np.zeros(len(entities), dtype=np.bool_), free)
    if outer is None:
        return None
    box, mask = outer
    inner = _rectangle(segments, mask, free)
    if inner is None or max(a - b for a, b in zip(_grown(inner[0]), _grown(box), strict=True)) > _margin(box):
        return _Frame((box,), mask, None)
    return _Frame((box, inner[0]), mask, inner[1])


def _grown(box: Box) -> Box:
    """Return a box so that all four sides grow inwards."""
    return box[0], box[1], -box[2], -box[3]


def _margin(box: Box) -> float:
    return min(WIDEST_MARGIN, 0.15 * min(box[2] - box[0], box[3] - box[1]))


def _rectangle(segments: Segments, gone: Bools, free: Bools) -> tuple[Box, Bools] | None:
    """Return the box and the entities of a rectangle round all that is left, if something lies in it."""
    left = segments.take(~gone[segments.owner])
    if not len(left):
        return None
    box = _box(left)
    mine = _on_sides(left, box, len(gone)) & free & ~gone
    if not _covered(left.take(mine[left.owner]), box) or not (~gone & ~mine).any():
        return None
    return box, mine


def _box(s: Segments) -> Box:
    boxes = s.boxes()
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _side_of(s: Segments, box: Box) -> list[Bools]:
    """Return which segments lie along the left, lower, right and upper side of a box."""
    sides = []
    for axis, place in ((0, box[0]), (1, box[1]), (0, box[2]), (1, box[3])):
        sides.append(~s.is_arc & (np.abs(s.p0[:, axis] - place) <= ON) & (np.abs(s.p1[:, axis] - place) <= ON))
    return sides


def _on_sides(s: Segments, box: Box, count: int) -> Bools:
    """Return which entities lie on the sides of a box with all their segments."""
    on = np.logical_or.reduce(_side_of(s, box))
    all_of = np.bincount(s.owner, minlength=count)
    return np.asarray((np.bincount(s.owner[on], minlength=count) == all_of) & (all_of > 0))


def _covered(s: Segments, box: Box) -> bool:
    """Return whether segments cover all four sides of a box."""
    if not len(s):
        return False
    for k, side in enumerate(_side_of(s, box)):
        axis = 1 - k % 2
        low = np.minimum(s.p0[side, axis], s.p1[side, axis])
        high = np.maximum(s.p0[side, axis], s.p1[side, axis])
        reached = box[axis]
        for a, b in sorted(zip(low.tolist(), high.tolist(), strict=True)):
            if a <= reached + ON:
                reached = max(reached, b)
        if reached < box[axis + 2] - ON:
            return False
    return True


def _without_title(entities: Sequence[Entity], frame: _Frame) -> Bools:
    """Return which entities stay when the frame goes, with all level and upright lines that hang on it."""
    segments = Bundle.of([e.path for e in entities if e.path is not None]).segments()
    chord = np.abs(segments.p1 - segments.p0)
    square = ~segments.is_arc & (chord.min(axis=1) <= ON)
    plain = np.bincount(segments.owner[~square], minlength=len(entities)) == 0
    gone = frame.both.copy()
    while True:
        lines = segments.take(gone[segments.owner])
        ask = plain & ~gone
        s = segments.take(ask[segments.owner])
        touching = _touches(s.p0, lines) | _touches(s.p1, lines)
        more = np.zeros(len(entities), dtype=np.bool_)
        more[s.owner[touching]] = True
        if not more.any():
            return np.asarray(~gone)
        gone |= more


def _touches(points: Floats, lines: Segments) -> Bools:
    """Return which points lie on one of some level or upright lines."""
    if not len(points):
        return np.zeros(0, dtype=np.bool_)
    low, high = np.minimum(lines.p0, lines.p1) - ON, np.maximum(lines.p0, lines.p1) + ON
    out = np.zeros(len(points), dtype=np.bool_)
    for begin in range(0, len(points), 2_000):
        p = points[begin : begin + 2_000, None, :]
        within: Bools = np.all((p >= low) & (p <= high), axis=2)
        out[begin : begin + 2_000] = np.any(within, axis=1)
    return out
