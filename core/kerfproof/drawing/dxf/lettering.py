"""TEXT, ATTRIB and MTEXT as outlines of their letters, always in the built-in letters whatever font the file names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any

import numpy as np
from ezdxf.math import Matrix44

from kerfproof.drawing.dxf.entity import DrawnShape, NotCut
from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.drawing.dxf.letters import CAP_HEIGHT, DESCENT, LETTERS
from kerfproof.drawing.dxf.placed import fitted
from kerfproof.geom.curves import BSplineCurve
from kerfproof.geom.path import Floats

KINDS = frozenset({"TEXT", "ATTRIB", "MTEXT"})
LINE_STEP = 5 / 3
"""From one line of an MTEXT to the next, in heights of its capitals (DXF reference, line spacing factor 1)."""
MOST_LETTERS = 5_000

_CENTER, _RIGHT, _ALIGNED, _MIDDLE, _FIT = 1, 2, 3, 4, 5
"""Group code 72 of TEXT."""
_LIFT = {0: 0.0, 1: DESCENT / CAP_HEIGHT, 2: -0.5, 3: -1.0}
"""How far the letters move up for each value of group code 73 of TEXT (baseline, bottom, middle, top), in heights."""


def outlines(entity: Any, frame: BlockTransform) -> list[DrawnShape]:
    """Return the closed outlines of all letters, in mm.

    Raises
    ------
    NotCut
        If there are no letters.
    ValueError
        If a letter is none of the built-in ones, or a number can't be used.
    """
    rings, matrix = _mtext(entity) if entity.dxftype() == "MTEXT" else _text(entity)
    if not rings:
        raise NotCut("it has no letters")
    return [_drawn(ring, matrix, frame) for ring in rings]


def _drawn(ring: Floats, matrix: Matrix44, frame: BlockTransform) -> DrawnShape:
    """Return a ring of quadratic curves, given by their control points (2n + 1, 2), as lines and arcs."""
    world = [p.xyz for p in matrix.transform_vertices([(x, y, 0.0) for x, y in ring.tolist()])]
    inner = np.repeat(np.arange(1.0, len(ring) // 2), 2)
    knots = np.concatenate([[0.0] * 3, inner, [len(ring) // 2] * 3])
    return fitted(BSplineCurve.of(frame.world(world), knots, 2))


def _text(entity: Any) -> tuple[list[Floats], Matrix44]:
    dxf = entity.dxf
    text, height = entity.plain_text(), float(dxf.height)
    _check(text, height)
    across, up = int(dxf.get("halign", 0)), int(dxf.get("valign", 0))
    width = _width(text) * height
    stretch = np.ones(2)
    if across in (_ALIGNED, _FIT) and width > 0:
        stretch = np.array([entity.fit_length() / width, 1.0])
        stretch[1] = stretch[0] if across == _ALIGNED else 1.0
    left = -width if across == _RIGHT else 0.0 if across == 0 else -width / 2
    lift = (DESCENT / CAP_HEIGHT - 1) / 2 if across == _MIDDLE else _LIFT.get(up, 0.0)
    shift = np.array([left, lift * height])
    return [(ring * height + shift) * stretch for ring in _rings(text)], entity.wcs_transformation_matrix()


def _mtext(entity: Any) -> tuple[list[Floats], Matrix44]:
    dxf = entity.dxf
    height, wide = float(dxf.get("char_height", 0.0)), float(dxf.get("width", 0.0))
    text = entity.plain_text()
    _check(text, height)
    lines = [line for full in text.split("\n") for line in _wrapped(full, wide / height)]
    step = LINE_STEP * float(dxf.get("line_spacing_factor", 1.0))
    row, column = divmod(int(dxf.get("attachment_point", 1)) - 1, 3)
    top = (1 + (len(lines) - 1) * step) * row / 2
    rings = []
    for number, line in enumerate(lines):
        shift = np.array([-_width(line) * column / 2, top - 1 - number * step])
        rings += [(ring + shift) * height for ring in _rings(line)]
    return rings, entity.ucs().matrix


def _check(text: str, height: float) -> None:
    if not height > 0:
        raise ValueError("its letters have no height")
    if len(text) > MOST_LETTERS:
        raise ValueError(f"it has {len(text)} letters, more than {MOST_LETTERS} are not drawn")


def _wrapped(line: str, wide: float) -> Iterator[str]:
    """Yield the line in pieces not wider than `wide` heights, parted at blanks; 0 is any width."""
    words = line.split(" ")
    now = words[0]
    for word in words[1:]:
        if wide > 0 and _width(f"{now} {word}") > wide:
            yield now
            now = word
        else:
            now = f"{now} {word}"
    yield now


def _rings(text: str) -> Iterator[Floats]:
    """Yield the control points of all contours of a line of text, in heights of capitals from its beginning."""
    at = 0.0
    for letter in text:
        advance, contours = _letter(letter)
        for contour in contours:
            yield contour + np.array([at, 0.0])
        at += advance


def _width(text: str) -> float:
    return sum(_letter(letter)[0] for letter in text)


def _letter(letter: str) -> tuple[float, tuple[Floats, ...]]:
    found = _letters().get(" " if letter == "\t" else letter)
    if found is None:
        raise ValueError(f"there is no letter {letter!a} among the built-in ones")
    return found


@cache
def _letters() -> dict[str, tuple[float, tuple[Floats, ...]]]:
    """Return advance and contours of each letter."""
    found = {}
    for row in LETTERS.splitlines():
        head, *rings = row.split(" | ")
        code, advance = head.split()
        contours = tuple(_control_points(ring.split()) for ring in rings)
        found[chr(int(code, 16))] = (int(advance) / CAP_HEIGHT, contours)
    return found


def _control_points(words: Sequence[str]) -> Floats:
    """Return the control points (2n + 1, 2) of the quadratic curves round a contour, lines with their middle."""
    ring = [(word[0] == "~", np.array([float(n) for n in word.lstrip("~").split(",")])) for word in words]
    if not ring[-1][0] and (ring[-1][1] == ring[0][1]).all():
        ring.pop()
    points = [ring[0][1]]
    for k, (bent, place) in enumerate(ring):
        next_bent, following = ring[(k + 1) % len(ring)]
        if not bent and not next_bent:
            points += [(place + following) / 2, following]
        elif bent:
            # Between two middle points that follow each other the curve passes half way.
            points += [place, (place + following) / 2 if next_bent else following]
    return np.array(points) / CAP_HEIGHT
