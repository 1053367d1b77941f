"""Loops from directed edges."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.carrier import cross, dot
from kerfproof.geom.path import Floats, Ints, Segments


def stitched(s: Segments, tail: Ints, head: Ints, nodes: Floats, distance: float) -> list[Floats] | None:
    """Return the vertices (n, 3) of the loops that the edges form, or None when one doesn't close.

    Where several edges leave a node, each goes on with the one that turns most to the side of `distance`
    (positive left), so that lobes that touch at a point become loops of their own.
    """
    after = _following(s, tail, head, 1.0 if distance > 0 else -1.0)
    if after is None:
        return None
    loops, used = [], [False] * len(s)
    for seed in range(len(s)):
        chain, e = [], seed
        while not used[e]:
            used[e] = True
            chain.append(e)
            e = after[e]
        if len(chain) > 1:
            loops.append(np.column_stack([nodes[tail[chain]], s.bulge[chain]]))
    return loops


def _following(s: Segments, tail: Ints, head: Ints, side: float) -> list[int] | None:
    """Return for each edge the one that follows it, or None where in and out don't match."""
    everything = np.arange(len(s))
    leaving, arriving = s.tangents(everything, np.zeros(len(s))), s.tangents(everything, np.ones(len(s)))
    bend = np.sign(s.bulge) / s.radius
    into: dict[int, list[int]] = {}
    out_of: dict[int, list[int]] = {}
    for e in range(len(s)):
        into.setdefault(int(head[e]), []).append(e)
        out_of.setdefault(int(tail[e]), []).append(e)
    after = [-1] * len(s)
    for node, arrivals in into.items():
        departures = out_of.get(node, [])
        if len(arrivals) != len(departures):
            return None
        if len(arrivals) == 1:
            after[arrivals[0]] = departures[0]
            continue
        came, left = np.repeat(arrivals, len(departures)), np.tile(departures, len(arrivals))
        turn = np.arctan2(cross(arriving[came], leaving[left]), dot(arriving[came], leaving[left]))
        # Of ways that leave alike, the one that bends more to the side; a full turn back is the last resort.
        turn = np.where(np.abs(turn) > np.pi - 1e-6, -np.pi * side, turn) * side
        order = np.lexsort((left, came, -(bend[left] * side), -np.round(turn, 6)))
        _match(came[order].tolist(), left[order].tolist(), after)
    return after


def _match(e: list[int], f: list[int], after: list[int]) -> None:
    """Pair arrivals `e` with departures `f`, the first pairs first, each once."""
    taken: set[int] = set()
    for arrival, departure in zip(e, f, strict=True):
        if after[arrival] < 0 and departure not in taken:
            after[arrival] = departure
            taken.add(departure)
