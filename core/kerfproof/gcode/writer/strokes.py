"""Torch motion in the whole steps of a program's last decimal place: lines and arcs that survive rounding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.words import NumberFormat, whole_numbers
from kerfproof.geom.path import Bools, Floats, Ints

SHORTEST_ARC = 5.0
"""Arcs with a chord of fewer steps are written as lines: their centre would be mostly rounding."""


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Lines and arcs of many runs as parallel arrays of length m, all in steps.

    `word` (1, 2, 3) is the number of the G word, `end` (m, 2) where the stroke ends, `center` (m, 2) of arcs as
    it is written (absolute or from the start of the arc), `run` the number of the run and `index` the number of
    the segment in it. `start` (n, 2) is where each run starts.
    """

    word: Ints
    end: Ints
    center: Ints
    run: Ints
    index: Ints
    start: Ints

    def texts(self, words: NumberFormat) -> list[str]:
        """Return each stroke as a line of the program, without F."""
        x, y = (whole_numbers(steps, words.decimals) for steps in self.end.T)
        arcs = np.flatnonzero(self.word != 1)
        i, j = (whole_numbers(steps, words.decimals) for steps in self.center[arcs].T)
        lines = [f"G1 X{a} Y{b}" for a, b in zip(x, y, strict=True)]
        for k, word, a, b in zip(arcs.tolist(), self.word[arcs].tolist(), i, j, strict=True):
            lines[k] = f"G{word} X{x[k]} Y{y[k]} I{a} J{b}"
        return lines


def strokes(runs: Sequence[Floats], words: NumberFormat, control: Dialect) -> Strokes:
    """Return open runs, each vertices (n, 3) with bulges as in `Path`, as strokes.

    Ends are rounded first and centres computed from the rounded ends and the bulge, so start and end radius
    differ only by the rounding of the centre. What has equal ends after rounding is left out, so that no arc
    reads as a full circle; the chain stays joined, because the next stroke starts at the same place.
    """
    per_mm = words.steps_per_mm
    vertices = np.vstack(runs)
    sizes = np.array([len(run) for run in runs])
    run = np.repeat(np.arange(len(runs)), sizes)
    first = np.cumsum(sizes) - sizes
    points = np.rint(vertices[:, :2] * per_mm)
    begins = np.flatnonzero((run[1:] == run[:-1]) & (points[1:] != points[:-1]).any(axis=1))
    p0, p1, bulge = points[begins], points[begins + 1], vertices[begins, 2]
    arc = _is_arc(p0, p1, bulge)
    base = np.zeros_like(p0) if control.arc_centers_absolute else p0
    center = _centers(p0, p1, np.where(arc, bulge, 1.0), base)
    word = np.where(arc, np.where(bulge > 0, 3, 2), 1)
    return Strokes(
        word.astype(np.int64),
        p1.astype(np.int64),
        np.where(arc[:, None], center, 0.0).astype(np.int64),
        run[begins],
        begins - first[run[begins]],
        points[first].astype(np.int64),
    )


def _is_arc(p0: Floats, p1: Floats, bulge: Floats) -> Bools:
    """Return which strokes are written as arcs: those that bow by half a step or more and are not tiny."""
    chord = np.hypot(*(p1 - p0).T)
    bow = 0.5 * chord * np.abs(bulge)
    arcs: Bools = (bow >= 0.5) & (chord >= SHORTEST_ARC)
    return arcs


def _centers(p0: Floats, p1: Floats, bulge: Floats, base: Floats) -> Floats:
    """Return centres in whole steps from `base`.

    The radii at both ends then differ by at most the square root of 2 steps, which is 0.0014 mm at three places
    and 0.00014 inch at four: within the 0.002 mm and 0.0002 inch of NISTIR 6556, 3.5.3.2.
    """
    chord = p1 - p0
    normal = np.column_stack([-chord[:, 1], chord[:, 0]])
    center: Floats = np.rint((p0 + p1) / 2 + ((1 - bulge * bulge) / (4 * bulge))[:, None] * normal - base)
    return center
