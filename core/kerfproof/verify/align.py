"""Whether a whole program is the drawing turned, mirrored, shifted or scaled: one finding instead of a thousand."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Floats
from kerfproof.verify.kept import Kept
from kerfproof.verify.rule import Hit
from kerfproof.verify.runs import TorchPath

MOST_SAMPLES = 2000
NEAR = 0.05
"""A sample agrees when its distance from the torch path is half a kerf within this."""
AGREES = 0.9

_TURN = np.array([[0.0, -1.0], [1.0, 0.0]])
_MIRROR = np.array([[-1.0, 0.0], [0.0, 1.0]])

_WAYS: tuple[tuple[str, str, Floats], ...] = (
    ("shifted", "the whole cut is shifted", np.eye(2)),
    ("turned", "the whole cut is turned by 180 degrees", _TURN @ _TURN),
    ("turned", "the whole cut is turned by 90 degrees counter-clockwise", _TURN),
    ("turned", "the whole cut is turned by 90 degrees clockwise", _TURN @ _TURN @ _TURN),
    ("mirrored", "the whole cut is mirrored (left and right exchanged)", _MIRROR),
    ("mirrored", "the whole cut is mirrored (top and bottom exchanged)", _TURN @ _TURN @ _MIRROR),
    ("mirrored", "the whole cut is mirrored and turned by 90 degrees", _TURN @ _MIRROR),
    ("mirrored", "the whole cut is mirrored and turned by 90 degrees", _MIRROR @ _TURN),
    ("wrong-scale", "the whole cut is 25.4 times too large: millimetres and inches are mixed up", np.eye(2) * 25.4),
    ("wrong-scale", "the whole cut is 25.4 times too small: millimetres and inches are mixed up", np.eye(2) / 25.4),
)


def misplacement(kept: Kept, path: TorchPath) -> tuple[str, Hit] | None:
    """Return the rule name and the one finding if the cut fits the drawing after a turn, mirror, shift or scale."""
    if not len(path.rings):
        return None
    points = kept.edges.points(np.arange(len(kept.edges)), np.full(len(kept.edges), 0.5))
    points = points[:: max(1, len(points) // MOST_SAMPLES)]
    boxes = kept.edges.boxes()
    in_ring = path.ring_of() >= 0
    target = path.segments.take(in_ring)
    half = path.half_kerf[in_ring]
    cut_boxes = target.boxes()
    center = (cut_boxes[:, :2].min(axis=0) + cut_boxes[:, 2:].max(axis=0)) / 2
    drawn = (boxes[:, :2].min(axis=0) + boxes[:, 2:].max(axis=0)) / 2
    for rule, message, matrix in _WAYS:
        moved = (points - drawn) @ matrix.T + center
        away, found = nearest(moved, target, 2 * float(half.max()) + NEAR)
        good = np.abs(away - half[np.maximum(found, 0)]) <= NEAR
        by = center - drawn
        if good.mean() >= AGREES and rule == "shifted" and np.abs(by).max() < NEAR:
            return None  # it lies where it should
        if good.mean() >= AGREES:
            where = f"{message} by {by[0]:.3f}, {by[1]:.3f} mm" if rule == "shifted" else message
            return rule, Hit(where, "check drawing, hand, zero and units, then write the program again")
    return None
