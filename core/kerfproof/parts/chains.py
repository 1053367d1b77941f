"""Joining by ends: edges between nodes become chains, loose ends meet within a tolerance.

Terms: an *edge* is an open path between two *nodes*; a node's degree counts the edge ends there; degree 1 is a
*loose end*, degree 3 or more a *branch point*; a *chain* runs over nodes of degree 2.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.index import Index
from kerfproof.geom.path import Floats, Ints, Path

GRID = 1e-6
"""Ends that agree to this many mm are one node."""


@dataclass(frozen=True, slots=True)
class Link:
    """One edge in a chain, `forward` or backward."""

    edge: int
    forward: bool


@dataclass(frozen=True, slots=True)
class Chain:
    """Edges end to end; `closed` when the last meets the first."""

    links: tuple[Link, ...]
    closed: bool


@dataclass(frozen=True, slots=True)
class Joint:
    """A gap that was closed: nodes `a` and `b` became one, `size` mm apart."""

    a: int
    b: int
    size: float


@dataclass(frozen=True, slots=True, eq=False)
class Graph:
    """Edges and nodes: `ends` (m, 2) node of each edge's start and end, `places` (k, 2) of the nodes."""

    ends: Ints
    places: Floats

    def degrees(self) -> Ints:
        """Return how many edge ends meet at each node."""
        return np.bincount(self.ends.ravel(), minlength=len(self.places))


def graph_of(edges: Sequence[Path]) -> Graph:
    """Return the graph of open paths, ends on a grid of `GRID` being one node."""
    if not edges:
        return Graph(np.empty((0, 2), dtype=np.int64), np.empty((0, 2)))
    ends = np.array([(*e.start, *e.end) for e in edges]).reshape(-1, 2)
    _, first, node = np.unique(np.round(ends / GRID), axis=0, return_index=True, return_inverse=True)
    return Graph(node.reshape(-1, 2).astype(np.int64), ends[first])


def close_gaps(graph: Graph, tolerance: float) -> tuple[Graph, tuple[Joint, ...]]:
    """Return the graph with loose ends within `tolerance` made one node, nearest pairs first.

    Only loose ends take part, each at most once; both ends of one edge only if that edge is longer than the
    gap is wide by far (a loop of its own).
    """
    degrees = graph.degrees()
    loose = np.flatnonzero(degrees == 1)
    if len(loose) < 2:
        return graph, ()
    spots = graph.places[loose]
    boxes = np.hstack([spots, spots])
    a, b = Index(boxes).pairs(boxes, tolerance)
    ahead = a < b
    a, b = loose[a[ahead]], loose[b[ahead]]
    sizes = np.hypot(*(graph.places[a] - graph.places[b]).T)
    near = sizes <= tolerance
    a, b, sizes = a[near], b[near], sizes[near]
    joints: list[Joint] = []
    used: set[int] = set()
    for k in np.lexsort((b, a, np.round(sizes, 9))):
        one, two = int(a[k]), int(b[k])
        if one not in used and two not in used:
            used.update((one, two))
            joints.append(Joint(one, two, float(sizes[k])))
    target = np.arange(len(graph.places))
    for joint in joints:
        target[joint.b] = joint.a
    return Graph(target[graph.ends], graph.places), tuple(joints)


def walk(graph: Graph) -> tuple[tuple[Chain, ...], tuple[int, ...]]:
    """Return all chains and the nodes that are branch points (where chains end)."""
    degrees = graph.degrees()
    at: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for edge, (start, end) in enumerate(graph.ends.tolist()):
        at[start].append((edge, 0))
        at[end].append((edge, 1))
    used = [False] * len(graph.ends)
    chains = []
    ends = graph.ends.tolist()
    single = degrees == 2
    # Chains with ends first (from loose ends and branch points), then what is left: closed chains.
    begins = [
        (edge, side) for node in np.flatnonzero((degrees != 2) & (degrees > 0)).tolist() for edge, side in at[node]
    ]
    begins += [(edge, 0) for edge in range(len(ends))]
    for edge, side in begins:
        if used[edge]:
            continue
        first = ends[edge][side]
        links = []
        while not used[edge]:
            used[edge] = True
            links.append(Link(edge, side == 0))
            node = ends[edge][1 - side]
            if not single[node]:
                break
            others = [(e, s) for e, s in at[node] if (e, s) != (edge, 1 - side)]
            edge, side = others[0]
        chains.append(Chain(tuple(links), node == first and bool(single[node])))
    return tuple(chains), tuple(np.flatnonzero(degrees > 2).tolist())
