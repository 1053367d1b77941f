"""The slower ways to an offset, one after the other, each answer measured before it counts."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from kerfproof.geom.offset.arrangement import arranged_offset
from kerfproof.geom.offset.buffer import buffered_offset, nothing_left
from kerfproof.geom.offset.check import at_distance, crosses_itself
from kerfproof.geom.offset.merge import merged
from kerfproof.geom.path import SAME_POINT, Bundle, Floats, Ints, Path

MARGIN = 5e-3
"""What does not outlive being offset this much (mm) further is no feature but a coincidence."""

Answers = list[list[Floats] | None]
"""Per path the vertices of its loops; None where a way gives up."""


def hard_offset(paths: Bundle, distance: Floats, sharp: bool) -> list[list[Path] | None]:
    """Return the checked offset loops of each path, None where no way leads to loops that pass.

    With `sharp`, a path whose mitres would reach into a neighbour gets round corners.
    """
    out = _checked(paths, distance, arranged_offset(paths, distance, sharp), sharp)
    if sharp:
        _retry(paths, distance, out, lambda some, d: arranged_offset(some, d, False))
    _retry(paths, distance, out, buffered_offset)
    return out


def picked(paths: Bundle, which: Ints) -> Bundle:
    """Return the paths of given numbers as a bundle."""
    sizes = np.diff(paths.start_of)[which]
    starts = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    rows = np.arange(starts[-1]) - np.repeat(starts[:-1] - paths.start_of[which], sizes)
    return Bundle(paths.vertices[rows], starts, paths.closed[which])


def _retry(
    paths: Bundle, distance: Floats, out: list[list[Path] | None], way: Callable[[Bundle, Floats], Answers]
) -> None:
    """Fill what is still None in `out` from another way."""
    again = np.array([i for i, loops in enumerate(out) if loops is None], dtype=np.int64)
    if not len(again):
        return
    some = picked(paths, again)
    for i, loops in zip(again, _checked(some, distance[again], way(some, distance[again]), False), strict=True):
        out[i] = loops


def _checked(paths: Bundle, distance: Floats, answers: Answers, sharp: bool) -> list[list[Path] | None]:
    """Return the answers as paths, with None in place of those that are not what they should be."""
    out: list[list[Path] | None] = [None] * len(paths)
    loops: list[Path] = []
    owner: list[int] = []
    for i, answer in enumerate(answers):
        if answer is None or any(_degenerate(loop) for loop in answer):
            continue
        if answer or nothing_left(paths.path(i), float(distance[i] + np.sign(distance[i]) * MARGIN)):
            out[i] = []
        loops += [Path(loop, True) for loop in answer]
        owner += [i] * len(answer)
    if not loops:
        return out
    curves, whose = Bundle.of(merged(Bundle.of(loops))), np.array(owner)
    good = at_distance(curves, whose, paths.segments(), distance[whose], sharp) & ~crosses_itself(curves)
    for k, i in enumerate(owner):
        so_far = out[i]
        out[i] = [*so_far, curves.path(k)] if so_far is not None and good[k] else None
    return out


def _degenerate(loop: Floats) -> bool:
    steps = np.abs(np.diff(loop[:, :2], axis=0, append=loop[:1, :2])).max(axis=1)
    return len(loop) < 2 or bool((steps <= SAME_POINT).any())
