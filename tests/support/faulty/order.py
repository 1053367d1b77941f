"""Whole features: left out, in a wrong order, twice, or cut though nobody drew them; and what is said of the order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from kerfproof.parts.model.contour import Contour
from support.faulty.subject import FAULTS, Fault, Lines, Planted, Subject, fault, moved, place, transformed


@fault("one feature removed")
def _(s: Subject) -> Lines | None:
    low, high = s.here
    return [*s.lines[:low], *s.lines[high:]]


def _hole_last(s: Subject, *between: str) -> Lines | None:
    """Cut a hole after the outline round it, with lines before it."""
    hole, blocks, lines = s.block("hole"), s.blocks(), s.lines
    outline = next((b for b in blocks[s.chosen + 1 :] if ": outline," in lines[b[0]]), None)
    if hole is None or outline is None:
        return None
    after = [*lines[: hole[0]], *lines[hole[1] : outline[1]], *between]
    return [*after, *lines[slice(*hole)], *lines[outline[1] :]]


@fault("hole cut after its outline")
def _(s: Subject) -> Lines | None:
    return _hole_last(s)


@fault("hole cut after its outline, said to be on another sheet")
def _(s: Subject) -> Lines | None:
    return _hole_last(s, "(change sheet)", "M0")


@fault("hole cut after its outline, said in a message")
def _(s: Subject) -> Lines | None:
    return _hole_last(s, "(MSG, new plate: change the sheet now)", "M0")


@fault("one feature said to be on another sheet")
def _(s: Subject) -> Lines | None:
    """Leave a feature out, and cut the next one twice, on what is said to be another sheet."""
    low, high = s.here
    after = s.blocks()[s.chosen + 1] if not s.last else None
    if after is None:
        return None
    return [*s.lines[:low], *s.lines[high : after[1]], "(change sheet)", "M0", *s.lines[after[0] :]]


@fault("one feature cut twice")
def _(s: Subject) -> Lines | None:
    low, high = s.here
    return [*s.lines[:high], *s.lines[low:high], *s.lines[high:]]


@fault("a cut that nobody drew")
def _(s: Subject) -> Lines | None:
    hole = s.block("hole")
    return None if hole is None else [*s.lines[: hole[0]], *moved(s, hole, 0.0, 0.0, 0.4), *s.lines[hole[0] :]]


@fault("an open cut through the clean sheet")
def _(s: Subject) -> Planted | None:
    """Cut a straight line through scrap, before the block, with the touch-off and the light-up of its own."""
    lines, box = s.lines, s.outcome.plan.plate if s.outcome.plan is not None else None
    hole, moves = s.block("outline"), s.cut_moves()
    go = s.find(r"^G0 .*X", (s.here[0], moves[0]), True)
    feed = re.search(r"F[\d.]+", lines[moves[0]])
    if hole is None or go is None or box is None or feed is None:
        return None
    x, y = (box[2] - 4.0) / s.unit, [(box[1] + v) / s.unit for v in (15.0, 45.0)]
    cut = [*lines[hole[0] : go], f"G0 X{x:.5f} Y{y[0]:.5f}", *lines[go + 1 : moves[0]]]
    cut += [f"G1 X{x:.5f} Y{y[1]:.5f} {feed.group()}", *lines[moves[-1] + 1 : hole[1]]]
    return Planted([*lines[: hole[0]], *cut, *lines[hole[0] :]], told_by=frozenset({"surplus-cut"}))


@fault("a cut across several slits")
def _(s: Subject) -> Planted | None:
    """Cut straight from the first of the slits to the last before any of them, with the touch-off of the first.

    The slits cut after it cross its kerf; that alone tells nothing of the metal burned between them.
    """
    lines = s.lines
    slits = [b for b in s.blocks() if ": slit," in lines[b[0]]]
    here = s.block("slit")
    if here is None or len(slits) < 4 or here != slits[0]:
        return None
    middles = [_middle(s, b) for b in slits]
    (x0, y0), (x1, y1) = min(middles), max(middles)
    go = s.find(r"^G0 .*X", here)
    moves = s.cut_moves(here)
    assert go is not None
    first = lines[moves[0]]
    feed = first[first.index("F") :] if "F" in first else ""
    cut = [*lines[here[0] : go], f"G0 X{x0:.5f} Y{y0:.5f}", *lines[go + 1 : moves[0]]]
    cut += [f"G1 X{x1:.5f} Y{y1:.5f} {feed}", *lines[moves[-1] + 1 : here[1]]]
    return Planted([*lines[: here[0]], *cut, *lines[here[0] :]], told_by=frozenset({"gouge"}))


def _middle(s: Subject, span: tuple[int, int]) -> tuple[float, float]:
    moves = s.cut_moves(span)
    ends = [place(s.lines, k) for k in (moves[0], *(k + 1 for k in moves))]
    xs, ys = [x for x, _ in ends], [y for _, y in ends]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _notch(deep: bool) -> Fault:
    """Go straight over the mouth of the deep or the shallow notch in the upper edge."""

    def plant(s: Subject) -> Lines | None:
        lines, outline = s.lines, s.block("outline")
        if outline is None or s.outcome.job.drawings[0].name != "comb.dxf":
            return None
        heights = {k: place(lines, k + 1)[1] * s.unit for k in s.cut_moves(outline)}
        top = max(heights.values())
        level = [k for k in heights if top - heights[k] < 0.01]
        for low, high in pairwise(level):
            depth = top - min(heights[k] for k in heights if low <= k <= high)
            if depth > 0.1 and (depth > 10) is deep:
                over = f"G1 X{place(lines, high + 1)[0]:.5f} Y{place(lines, high + 1)[1]:.5f}"
                return [*lines[: low + 1], over, *lines[high + 1 :]]
        return None

    return plant


FAULTS["a narrow notch left"] = _notch(True)
FAULTS["a narrow and shallow notch left"] = _notch(False)


@fault("a second copy 1 mm too large")
def _(s: Subject) -> Planted | None:
    """Nobody says where the drawing lies, and it is given once."""
    if len(s.outcome.job.drawings) != 2 or s.chosen:
        return None
    lines, blocks = s.lines, s.blocks()
    half = len(blocks) // 2
    ends = [place(lines, k + 1) for b in blocks[half:] for k in s.cut_moves(b)]
    xs, ys = [x for x, _ in ends], [y for _, y in ends]
    cx, cy, width = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, max(xs) - min(xs)
    by = 1 + 1 / s.unit / width
    span = blocks[half][0], blocks[-1][1]
    grown = transformed(s, span, lambda x, y: (cx + (x - cx) * by, cy + (y - cy) * by))
    closed, slits = s.drawn
    once = _of_one(closed), _of_one(slits)
    return Planted([*lines[: span[0]], *grown, *lines[span[1] :]], lines, True, once)


def _of_one(contours: Sequence[Contour]) -> tuple[Contour, ...]:
    return tuple(contours[: len(contours) // 2])


# --- duty ------------------------------------------------------------------------------------------------


def _rests(s: Subject, low: int, high: int) -> list[int]:
    """Return the dwells of rests."""
    lines = s.lines
    return [k for k in range(low, high) if lines[k].startswith("G4") and "rest," in lines[k - 1]]


@fault("rest said, but not made")
def _(s: Subject) -> Lines | None:
    """Stop where the torch should rest, with words on something else that hold the word rest."""
    lines, rests = s.lines, set(_rests(s, 0, len(s.lines)))
    if not rests:
        return None
    out: Lines = []
    for k, line in enumerate(lines):
        if k not in rests and k + 1 not in rests:
            out.append(line)
        elif k in rests and k + 2 not in rests:  # the last of the dwells of one rest
            out += ["(MSG, look, then cut the rest)", "M0"]
    return out


@fault("rest dropped")
def _(s: Subject) -> Lines | None:
    gone = _rests(s, *s.here)
    return [line for k, line in enumerate(s.lines) if k not in gone] if gone else None
