"""Chains that branch, split into the faces of the plane between them where that can be read in one way only.

Across a line drawn once, metal and scrap change sides; across a line drawn twice (an edge that two contours share)
they do not. If this rule can be kept at all lines, the faces of metal are the contours. If it can't, because an
uneven number of lines meets somewhere, nobody can tell what was meant.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.path import Path

NEAR = 1.0
"""Chains that meet in a point are put in order by where they are this far on (mm), or a third of the shortest."""


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """A chain between two branch points `start` and `end` (node numbers), drawn `copies` times."""

    path: Path
    start: int
    end: int
    copies: int = 1


@dataclass(frozen=True, slots=True)
class Face:
    """A closed way along branches: their numbers, and whether each is travelled forward."""

    branches: tuple[tuple[int, bool], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """What connected branches make: faces of metal, and branches that bound nothing (they only link contours).

    `clear` is False when the branches can't be read in one way only; there are no faces then.
    """

    metal: tuple[Face, ...]
    links: tuple[int, ...]
    clear: bool


def faces_of(branches: Sequence[Branch]) -> Faces:
    """Return the faces of metal between connected branches, of which none ends loose."""
    links: list[int] = []
    alive = list(range(len(branches)))
    while True:
        cycles = _cycles(branches, alive)
        side = {half: number for number, cycle in enumerate(cycles) for half in cycle}
        idle = [b for b in alive if side[b, True] == side[b, False]]
        if not idle:
            break
        links += idle
        alive = _on_loops(branches, [b for b in alive if b not in set(idle)], links)
    outer = [_area(branches, cycle) < 0 for cycle in cycles]
    for copies in ([1] * len(branches), [branch.copies for branch in branches]):
        metal = _metal(cycles, side, outer, copies, alive)
        if metal is not None:
            return Faces(tuple(Face(cycles[k]) for k in metal), tuple(sorted(links)), True)
    return Faces((), tuple(sorted(links)), False)


_Half = tuple[int, bool]
"""A branch travelled forward or backward."""


def _on_loops(branches: Sequence[Branch], alive: list[int], links: list[int]) -> list[int]:
    """Return the branches without those that now end loose, which are added to `links`."""
    while True:
        count: dict[int, int] = defaultdict(int)
        for b in alive:
            count[branches[b].start] += 1
            count[branches[b].end] += 1
        loose = [b for b in alive if count[branches[b].start] == 1 or count[branches[b].end] == 1]
        if not loose:
            return alive
        links += loose
        alive = [b for b in alive if b not in set(loose)]


def _cycles(branches: Sequence[Branch], alive: Sequence[int]) -> list[tuple[_Half, ...]]:
    """Return all ways around a face, each with the face on its left."""
    leaving: dict[int, list[_Half]] = defaultdict(list)
    for b in alive:
        leaving[branches[b].start].append((b, True))
        leaving[branches[b].end].append((b, False))
    after: dict[_Half, _Half] = {}
    for halves in leaving.values():
        turned = _around(branches, halves)
        for k, half in enumerate(turned):
            # Coming in against `half`, the leftmost way on is the next one clockwise.
            after[half[0], not half[1]] = turned[k - 1]
    cycles, seen = [], set()
    for start in sorted(after):
        cycle = []
        half = start
        while half not in seen:
            seen.add(half)
            cycle.append(half)
            half = after[half]
        if cycle:
            cycles.append(tuple(cycle))
    return cycles


def _around(branches: Sequence[Branch], halves: Sequence[_Half]) -> list[_Half]:
    """Return the halves that leave one point in counter-clockwise order."""
    lengths = {b: branches[b].path.length() for b, _ in halves}
    step = min(NEAR, 0.3 * min(lengths.values()))
    keyed = []
    for b, forward in halves:
        path = branches[b].path
        piece = path.part(0.0, step) if forward else path.part(lengths[b] - step, lengths[b]).reversed()
        x, y = piece.end - piece.start
        keyed.append((round(float(np.arctan2(y, x)), 9), b, forward))
    return [(b, forward) for _, b, forward in sorted(keyed)]


def _area(branches: Sequence[Branch], cycle: Sequence[_Half]) -> float:
    return face_path(branches, Face(tuple(cycle))).area()


def face_path(branches: Sequence[Branch], face: Face) -> Path:
    """Return the closed path around a face."""
    runs = [branches[b].path if forward else branches[b].path.reversed() for b, forward in face.branches]
    vertices = np.vstack([run.vertices[:-1] for run in runs])
    return Path(vertices, True)


def _metal(
    cycles: Sequence[Sequence[_Half]],
    side: dict[_Half, int],
    outer: Sequence[bool],
    copies: Sequence[int],
    alive: Sequence[int],
) -> list[int] | None:
    """Return the faces that are metal, None when no choice keeps the rule."""
    metal: list[bool | None] = [False if out else None for out in outer]
    todo = [k for k, out in enumerate(outer) if out]
    while todo:
        face = todo.pop()
        for b, forward in cycles[face]:
            other = side[b, not forward]
            wanted = bool(metal[face]) != (copies[b] % 2 == 1)
            if metal[other] is None:
                metal[other] = wanted
                todo.append(other)
    for b in alive:
        left, right = metal[side[b, True]], metal[side[b, False]]
        if (left != right) != (copies[b] % 2 == 1):
            return None
    return [k for k, is_metal in enumerate(metal) if is_metal]
