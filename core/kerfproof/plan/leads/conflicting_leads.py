"""The other leads of a plan, for a lead that is tried by hand: with which of them it can't be together."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from kerfproof.cut_plan import Cut
from kerfproof.geom.distance import pair_distances, point_distances
from kerfproof.plan.clearance import SLACK, WORN, Clearances, Runs


class Rivals:
    """The leads of the cuts of a plan; `pinned` are features whose lead stays where it is."""

    __slots__ = ("_boxes", "_reach", "clear", "pinned", "runs", "segments")

    def __init__(self, cuts: Sequence[Cut], pinned: Collection[int], clear: Clearances) -> None:
        led = [(cut, cut.lead_in) for cut in cuts if cut.lead_in is not None]
        n = len(led)
        self.clear, self.pinned = clear, frozenset(pinned)
        self.runs = Runs(
            np.array([lead.start for _, lead in led]).reshape(n, 2),
            np.array([lead.end for _, lead in led]).reshape(n, 2),
            np.array([lead.vertices[0, 2] for _, lead in led]).reshape(n),
            np.array([cut.feature for cut, _ in led], dtype=np.int64),
            np.array([cut.kerf for cut, _ in led]).reshape(n),
            np.full(n, clear.face),
        )
        self.segments = self.runs.segments()
        self._boxes = self.segments.boxes()
        self._reach = max(clear.face + float(self.runs.kerf.max(initial=0.0)), clear.apart)

    def of(self, run: Runs) -> tuple[int, ...]:
        """Return the features whose leads `run` (one lead) can't be together with.

        Their kerfs would meet, their craters would, or one's tip face would rest on the other's kerf.
        """
        mine = run.segments()
        x0, y0, x1, y1 = mine.boxes()[0]
        b, r = self._boxes, self._reach
        near = (b[:, 0] <= x1 + r) & (b[:, 2] >= x0 - r) & (b[:, 1] <= y1 + r) & (b[:, 3] >= y0 - r)
        j = np.flatnonzero(near & (self.runs.feature != run.feature[0]))
        if not len(j):
            return ()
        i = np.zeros(len(j), dtype=np.int64)
        half, halves = run.kerf[0] / 2, self.runs.kerf[j] / 2
        bad = pair_distances(mine, i, self.segments, j) < WORN * (half + halves) - SLACK
        bad |= np.hypot(*(self.runs.far[j] - run.far[0]).T) < self.clear.apart - SLACK
        bad |= point_distances(run.far[i], self.segments, j) < run.face[0] + halves - SLACK
        bad |= point_distances(self.runs.far[j], mine, i) < self.clear.face + half - SLACK
        found: list[int] = self.runs.feature[j[bad]].tolist()
        return tuple(found)
