"""Which drawing lies where, judged over all of them: two that share an outline are told apart by what else they hold.

Each drawing is wanted once at least, one that was given twice twice; what is cut beyond that are further copies.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.geom.path import Bundle, Floats, Ints
from kerfproof.proof.compare.align import STRAIGHT, Candidate, candidates
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.placed import Placing
from kerfproof.proof.evidence.runs import TorchPath

FOUND = 1e6
"""What it counts that a drawing is found at all: more than all that could be gained by contours."""


def placings(drawings: Sequence[Kept], path: TorchPath, loose: Bundle, sheets: Ints) -> tuple[tuple[Placing, ...], ...]:
    """Return of each drawing every place where it fits the torch path, none of them over another.

    A drawing that fits only mirrored or scaled has that one place. `loose` is all that comes free; `sheets` says on
    which sheet each of it lies, then each run. What is cut twice over on one sheet is one place, on two sheets two.
    """
    tried = [candidates(kept, path, loose, sheets) for kept in drawings]
    chosen: list[list[Candidate]] = [[] for _ in drawings]
    taken: set[int] = set()
    wanted = set(range(len(drawings)))
    while wanted:
        pairs = _best(tried, sorted(wanted), taken)
        if not pairs:
            break
        # The largest first: what is found within it is no place of another drawing.
        for number, candidate in sorted(pairs, key=lambda pair: -len(pair[1].follows)):
            if candidate.ring not in taken:
                chosen[number].append(candidate)
                taken |= candidate.follows | _over(candidate, tried[number])
                wanted.remove(number)
    wrong = {number for number, some in enumerate(chosen) for c in some if c.placing.rule not in STRAIGHT}
    more = [(n, c) for n, some in enumerate(tried) if n not in wrong for c in some if c.placing.rule in STRAIGHT]
    for number, candidate in sorted(more, key=lambda pair: -pair[1].gain):
        # A further copy has cuts of its own: what follows those of another is that one laid over itself.
        if candidate.ring not in taken and 2 * len(candidate.follows & taken) <= len(candidate.follows):
            chosen[number].append(candidate)
            taken |= candidate.follows | _over(candidate, tried[number])
    return tuple(tuple(c.placing for c in sorted(some, key=lambda c: c.ring)) for some in chosen)


def _over(one: Candidate, tried: Sequence[Candidate]) -> set[int]:
    """Return the closed cuts that lead to the same place on the same sheet."""
    return {other.ring for other in tried if other.sheet == one.sheet and other.placing.same(one.placing)}


def _best(
    tried: Sequence[tuple[Candidate, ...]], wanted: Sequence[int], taken: set[int]
) -> list[tuple[int, Candidate]]:
    """Return for the wanted drawings the places that gain most together, each closed cut given to one of them."""
    best: dict[tuple[int, int], Candidate] = {}
    for row, number in enumerate(wanted):
        for candidate in tried[number]:
            held = best.get((row, candidate.ring))
            if candidate.ring not in taken and (held is None or candidate.gain > held.gain):
                best[row, candidate.ring] = candidate
    rings = sorted({ring for _, ring in best})
    worth = np.zeros((len(wanted), len(rings) + len(wanted)))  # as many ways to be found nowhere as drawings
    for (row, ring), candidate in best.items():
        worth[row, rings.index(ring)] = FOUND + candidate.gain
    pairs = [(row, column) for row, column in enumerate(_matching(worth)) if column < len(rings)]
    return [(wanted[row], best[row, rings[column]]) for row, column in pairs if (row, rings[column]) in best]


def _matching(worth: Floats) -> list[int]:
    """Return the column of each row (n <= m) so that the sum of the worths is the largest (assignment problem).

    Row by row along the shortest augmenting path under prices of rows and columns.
    """
    n, m = worth.shape
    row_price, column_price = np.zeros(n), np.zeros(m)
    row_of = np.full(m, -1)
    for new in range(n):
        least, before = np.full(m, np.inf), np.full(m, -1)
        reached = np.zeros(m, dtype=np.bool_)
        row, at = new, -1
        while row >= 0:
            rest = -worth[row] - row_price[row] - column_price
            nearer = ~reached & (rest < least)
            least[nearer], before[nearer] = rest[nearer], at
            column = int(np.where(reached, np.inf, least).argmin())
            step = least[column]
            row_price[[new, *row_of[reached].tolist()]] += step
            column_price[reached] -= step
            least[~reached] -= step
            reached[column] = True
            row, at = int(row_of[column]), column
        while at >= 0:  # hand the columns on along the path
            row_of[at] = new if before[at] < 0 else row_of[before[at]]
            at = int(before[at])
    out = [-1] * n
    for column, row in enumerate(row_of.tolist()):
        if row >= 0:
            out[row] = column
    return out
