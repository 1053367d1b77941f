"""Which closed cut belongs to which drawn contour, and whether it runs on its scrap side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.path import Bools, Ints
from kerfproof.proof.compare.edges import SampledEdges
from kerfproof.proof.compare.parted import parted
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.stock import Stock
from kerfproof.proof.evidence.sweep import CORNER_REACH, Sweep

MEETS = 1e-6
"""Paths nearer than this cross or touch."""


@dataclass(frozen=True, slots=True, eq=False)
class Match:
    """What follows each drawn contour (n,).

    `ring` cuts it free on its scrap side (-1: none), `wrong` is a ring that follows it on the side to keep (-1:
    none), `near` tells whether any torch path follows it that cuts no other contour free. `together` tells which are
    cut free by several runs together.
    """

    ring: Ints
    wrong: Ints
    near: Bools
    together: Bools

    @property
    def free(self) -> Bools:
        """Which contours are cut free on their scrap side (n,)."""
        return (self.ring >= 0) | self.together


def match(kept: Kept, swept: Sweep, edges: SampledEdges, stock: Stock) -> Match:
    """Return the match of rings and contours, by most samples of the edge that the ring comes nearest to."""
    path = stock.path
    n, rings = len(kept.bundle), len(path.rings)
    ring_of = path.ring_of()
    owner = kept.edges.owner[edges.edge]
    seen = np.flatnonzero((edges.torch >= 0) & (edges.left <= CORNER_REACH))
    near = np.zeros(n, dtype=np.bool_)
    near[owner[seen]] = True
    ring, wrong = np.full(n, -1, dtype=np.int64), np.full(n, -1, dtype=np.int64)
    voter, voted = owner[seen], ring_of[edges.torch[seen]]
    key, votes = np.unique((voter * rings + voted)[voted >= 0], return_counts=True)
    if not len(key):
        return Match(ring, wrong, near, _together(kept, stock, swept, near & (ring < 0) & (wrong < 0)))
    contour, candidate = key // rings, key % rings
    right, reverse = _sides(kept, stock, swept, key)
    order = np.lexsort((candidate, -votes, contour))[::-1]  # the best is written last
    # A neighbour's cut that passes by is no cut on the wrong side: it must follow most of the contour.
    reverse &= 2 * votes >= np.bincount(owner, minlength=n)[contour]
    for out, side in ((ring, right), (wrong, reverse)):
        best = order[side[order]]
        out[contour[best]] = candidate[best]
    # What cuts another contour free is no cut of this one, however near it passes, nor is a lead.
    taken = np.zeros(rings + 1, dtype=np.bool_)
    taken[ring[ring >= 0]] = True
    wrong[(ring >= 0) | taken[wrong]] = -1
    near[:] = False
    leads = path.leads()[edges.torch[seen]]
    near[voter[~leads & (~taken[voted] | (ring[voter] == voted))]] = True
    return Match(ring, wrong, near, _together(kept, stock, swept, near & (ring < 0) & (wrong < 0)))


def _together(kept: Kept, stock: Stock, swept: Sweep, held: Bools) -> Bools:
    """Return which of the contours `held` (n,), which no ring frees, all cuts together part from the plate.

    As of rings, what a path crosses is not cut along its scrap side.
    """
    asked = held.copy()
    crossed = (swept.distance <= MEETS) & ~swept.on_slit[swept.torch]  # a slit may cross the edge
    asked[kept.edges.owner[swept.edge[crossed]]] = False
    out = np.zeros(len(held), dtype=np.bool_)
    out[asked] = parted(kept, stock, np.flatnonzero(asked))
    return out


def _sides(kept: Kept, stock: Stock, swept: Sweep, key: Ints) -> tuple[Bools, Bools]:
    """Return of pairs ``contour * rings + ring`` which lie on the scrap side, and which on the kept side."""
    path = stock.path
    rings = len(path.rings)
    contour = key // rings
    k, c = kept.region.containers(path.rings.vertices[path.rings.start_of[:-1], :2])
    ring_inside = np.isin(key, c * rings + k)
    k, r = stock.region.containers(kept.first_points())  # the rings come first of what is loose
    contour_inside = np.isin(key, (k * rings + r)[r < rings])
    ring_of = path.ring_of()[swept.torch]
    met = (swept.distance <= MEETS) & (ring_of >= 0)
    crossed = np.isin(key, kept.edges.owner[swept.edge[met]] * rings + ring_of[met])
    outline = kept.is_outline()[contour]
    around, within = contour_inside & ~ring_inside & ~crossed, ring_inside & ~crossed
    return np.where(outline, around, within), np.where(outline, within, around)
