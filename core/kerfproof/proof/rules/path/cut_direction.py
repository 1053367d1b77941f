"""Contours are cut the other way round than the gas swirl wants.

Finds: outlines and holes with the metal to keep on the side of the torch that the machine file's `swirl` does not make
square: left of travel with a clockwise swirl. Once for a program. Slits and open cuts have no such side.

Matters: the square edge is on the scrap, and the edge to keep gets the bevel.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y19.25
    G1 X120.75
    G1 Y80.75
    G1 X19.25
    G1 Y49
    M5

Good::

    Drawing: rect 20 20 120 80
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y80.75
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y51
    M5

Do: turn the direction of these cuts: with a clockwise swirl outlines clockwise, holes counter-clockwise.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Ints
from kerfproof.geom.region import Region, nesting, path_areas
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule

BESIDE = 0.2
"""So far (mm) beside the kerf it is asked which side is kept."""


def _judge(e: Evidence) -> Iterator[Hit]:
    side = _kept_side(e) if e.kept is not None else _kept_side_alone(e)
    wrong = np.flatnonzero(side == (1 if e.machine.swirl_clockwise else -1))
    if len(wrong):
        run = e.runs[int(e.path.ring_run[wrong[0]])]
        square = "right" if e.machine.swirl_clockwise else "left"
        count = np.count_nonzero(side)
        what = f"{len(wrong)} of {count} closed cuts run the other way round: the square edge lies {square} of travel"
        yield Hit(what, "turn their direction, or the swirl in the machine file", run.light_line, run.start)


def _kept_side(e: Evidence) -> Ints:
    """Return on which side of each ring metal is kept: 1 left of travel, -1 right, 0 on both, none or not told."""
    path, s = e.path, e.path.segments
    out = np.zeros(len(path.rings), dtype=np.int64)
    if e.kept is None or not len(out):
        return out
    lengths = s.lengths()
    spans = zip(path.ring_first.tolist(), path.ring_stop.tolist(), strict=True)
    longest = np.array([first + int(lengths[first:stop].argmax()) for first, stop in spans])
    middle = np.full(len(longest), 0.5)
    along = s.tangents(longest, middle)
    left = np.column_stack([-along[:, 1], along[:, 0]]) * (path.half_kerf[longest] + BESIDE)[:, None]
    points = s.points(longest, middle)
    return e.kept.holds(points + left).astype(np.int64) - e.kept.holds(points - left)


def _kept_side_alone(e: Evidence) -> Ints:
    """Return the same where no drawing tells: only rings that lie in another one, or hold one, are known."""
    rings = e.path.rings
    out = np.zeros(len(rings), dtype=np.int64)
    if e.stock.plates > 1 or not len(rings):
        return out
    depth, parent = nesting(rings, Region(rings))
    known = depth % 2 == 1
    known[parent[known]] = True
    inside = np.where(path_areas(rings) > 0, 1, -1)  # which side of travel the inside lies on
    return np.where(known, np.where(depth % 2 == 0, inside, -inside), out).astype(np.int64)


RULE = Rule("cut-direction", Severity.WARNING, _judge, by_drawing=True)
