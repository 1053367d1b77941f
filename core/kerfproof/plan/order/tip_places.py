"""Where the face of the tip stands on sound plate at a pierce, clear of all that was cut before."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.cut_plan import Cut
from kerfproof.geom.distance import point_distances
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Bundle


def on_sound_plate(cuts: Sequence[Cut], face: float) -> list[bool]:
    """Return of each cut, in the order they are made, whether no earlier kerf reaches under the tip's face.

    `face` is the radius (mm) of that face.
    """
    if len(cuts) < 2:
        return [True] * len(cuts)
    pieces = [(number, piece) for number, cut in enumerate(cuts) for piece in cut.pieces]
    whose = np.array([number for number, _ in pieces])
    segments = Bundle.of([piece for _, piece in pieces]).segments()
    owner = whose[segments.owner]
    half = np.array([cut.kerf / 2 for cut in cuts])
    places = np.array([cut.pierce for cut in cuts], dtype=np.float64)
    k, near = Index(segments.boxes()).pairs(point_boxes(places), face + float(half.max()))
    before = owner[near] < k
    k, near = k[before], near[before]
    gap = point_distances(places[k], segments, near) - half[owner[near]]
    sound = np.ones(len(cuts), dtype=np.bool_)
    sound[k[gap < face]] = False
    return [bool(one) for one in sound]
