"""Choosing leads for all contours at once: in each round the next best of every contour still without one."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.counted import ranges
from kerfproof.geom.distance import pair_distances, point_distances
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Ints
from kerfproof.plan.clearance import NO_RUNS, SLACK, WORN, Clearances, Ground, Runs

MOST_AT_ONCE = 32
_CHUNK = 4096


class Chosen:
    """The runs chosen so far; later ones keep clear of them."""

    def __init__(self, clear: Clearances, ranks: Ints) -> None:
        self.clear = clear
        self.ranks = ranks
        """Rank of each feature number in the provisional order."""
        self.runs = NO_RUNS
        self.pierced = np.empty(0, dtype=np.bool_)

    def add(self, runs: Runs, *, pierced: bool = True) -> None:
        """Take runs in; those not `pierced` are lead-outs."""
        self.runs = self.runs.joined(runs)
        self.pierced = np.concatenate([self.pierced, np.full(len(runs), pierced)])

    def admit(self, runs: Runs, *, pierced: bool, relaxed: bool) -> Bools:
        """Return which of `runs` (m,), the first ones first, go with those chosen and with each other.

        Two kerfs keep a worn kerf apart and two pierces their craters. A tip face may rest where another run cuts
        later, by rank, only if `relaxed`.
        """
        m = len(runs)
        everyone = self.runs.joined(runs)
        i, j = self._conflicts(runs, everyone, np.concatenate([self.pierced, np.full(m, pierced)]), relaxed)
        out = np.ones(m, dtype=np.bool_)
        before = len(self.runs)
        out[i[j < before]] = False
        mutual = j >= before
        rivals: dict[int, list[int]] = {}
        for a, b in zip(i[mutual].tolist(), (j[mutual] - before).tolist(), strict=True):
            rivals.setdefault(max(a, b), []).append(min(a, b))
        for a in sorted(rivals):
            if out[a] and any(out[b] for b in rivals[a]):
                out[a] = False
        return out

    def _conflicts(self, runs: Runs, everyone: Runs, pierced: Bools, relaxed: bool) -> tuple[Ints, Ints]:
        i, j, close, a_first, b_first = self._pairs(runs, everyone, pierced)
        if relaxed:
            rank_a, rank_b = self.ranks[runs.feature[i]], self.ranks[everyone.feature[j]]
            bad = close | (a_first & (rank_a >= rank_b)) | (b_first & (rank_b >= rank_a))
        else:
            bad = close | a_first | b_first
        return i[bad], j[bad]

    def _pairs(self, runs: Runs, everyone: Runs, pierced: Bools) -> tuple[Ints, Ints, Bools, Bools, Bools]:
        """Return near pairs (i, j), whether they are too close, and whether i needs j uncut or j needs i uncut."""
        a, b = runs.segments(), everyone.segments()
        own = len(everyone) - len(runs)
        half = everyone.kerf / 2
        reach = max(float(everyone.face.max(initial=0.0)) + float(half.max(initial=0.0)), self.clear.apart)
        i, j = Index(b.boxes()).pairs(a.boxes(), reach)
        # A lead-out starts where its own lead ends, so only those two may meet.
        same = runs.feature[i] == everyone.feature[j]
        other = (j != i + own) & ~(same & (pierced[i + own] != pierced[j]))
        i, j = i[other], j[other]
        p_a, p_b = pierced[i + own], pierced[j]
        close = pair_distances(a, i, b, j) < WORN * (runs.kerf[i] + everyone.kerf[j]) / 2 - SLACK
        apart = np.hypot(*(runs.far[i] - everyone.far[j]).T)
        close |= p_a & p_b & (apart < self.clear.apart - SLACK)
        a_first = p_a & (point_distances(runs.far[i], b, j) < runs.face[i] + half[j] - SLACK)
        b_first = p_b & (point_distances(everyone.far[j], a, i) < everyone.face[j] + runs.kerf[i] / 2 - SLACK)
        return i, j, close, a_first, b_first

    def order_pairs(self) -> set[tuple[int, int]]:
        """Return (first, then) feature numbers: whose tip face rests on whose later lead."""
        i, j, _, first, _ = self._pairs(self.runs, self.runs, self.pierced)
        features = self.runs.feature
        pairs = zip(features[i[first]].tolist(), features[j[first]].tolist(), strict=True)
        return {(a, b) for a, b in pairs if a != b}


def in_rounds(
    runs: Runs,
    first: Ints,
    waiting: Ints,
    ground: Ground,
    chosen: Chosen,
    clear: Clearances,
    *,
    pierced: bool = True,
    relaxed: bool = False,
    watch: Watch = no_watch,
) -> dict[int, int]:
    """Return for each contour that got a run the number of that run, and take it into `chosen`.

    The runs of contour c are those from ``first[c]`` to ``first[c + 1]``, best first; `waiting` are the contours
    to choose for, those named first having the first pick.
    """
    out: dict[int, int] = {}
    at = first[waiting].copy()
    at_once = 1
    while True:
        left = np.flatnonzero(at < first[waiting + 1])
        if not len(left):
            return out
        watch("leads", 1 - len(left) / max(len(waiting), 1))
        until = np.minimum(at[left] + at_once, first[waiting[left] + 1])
        whose, rows = ranges(at[left], until)
        good = np.concatenate(
            [_good(runs.take(rows[part]), ground, chosen, clear, pierced, relaxed) for part in _chunks(len(rows))]
        )
        at[left] = until
        pick, which = np.unique(whose[good], return_index=True)
        row = rows[good][which]
        taken = chosen.admit(runs.take(row), pierced=pierced, relaxed=relaxed)
        chosen.add(runs.take(row[taken]), pierced=pierced)
        for k, r in zip(waiting[left[pick[taken]]].tolist(), row[taken].tolist(), strict=True):
            out[k] = r
        at[left[pick[taken]]] = first[-1]
        at[left[pick[~taken]]] = row[~taken] + 1
        at_once = min(2 * at_once, MOST_AT_ONCE)


def _good(runs: Runs, ground: Ground, chosen: Chosen, clear: Clearances, pierced: bool, relaxed: bool) -> Bools:
    judged = ground.judge(runs, clear, pierce=pierced)
    if not pierced:
        return judged.fits
    if not relaxed:
        return judged.fits & judged.alone
    late = chosen.ranks[judged.other] <= chosen.ranks[runs.feature[judged.beside]]
    out = judged.fits
    out[judged.beside[late]] = False
    return out


def _chunks(n: int) -> Iterator[slice]:
    return (slice(low, low + _CHUNK) for low in range(0, max(n, 1), _CHUNK))
